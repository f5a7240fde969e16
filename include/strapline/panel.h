/// strapline/panel.h: sheet metal as a ground return: a panel with studs, reduced to what lies
/// between the studs.
///
/// A panel is a flat rectangular sheet of one metal and one thickness, with rectangular cut-outs
/// where they are given. Studs are places where conductors end: discs, or bars such as a welded
/// seam, each at one potential, the current spread over it as the sheet wants. A point of no size
/// has no resistance to a sheet (it grows without end as the point shrinks), so a stud always has a
/// size: that of the bare metal under its lug.
///
/// The sheet is cut into a mesh of rectangular cells and its conductances are reduced, exactly and
/// without a subtraction, to one conductance between every two studs: see sl_panel_reduce.
#ifndef STRAPLINE_PANEL_H
#define STRAPLINE_PANEL_H

#include "strapline/case.h"

#ifdef __cplusplus
extern "C" {
#endif

/// A stud: a disc when diameter_m is given, else a bar.
typedef struct sl_stud {
    const char *node;         ///< its node in the circuit; sl_panel_reduce needs none
    double x_m, y_m;          ///< its middle, from a corner of the panel; on the panel
    double diameter_m;        ///< of the bare metal that touches; 0 for a bar
    double width_m, height_m; ///< of a bar, in x and in y; one of them may be 0; else both 0
} sl_stud;

/// A rectangle without metal, from its corner nearest the origin. Its sides are moved to the
/// nearest lines of the mesh.
typedef struct sl_cutout {
    double x_m, y_m, width_m, height_m;
} sl_cutout;

/// Called now and then during long work with the share that is done, 0 to 1; return false to stop
/// it. Called from the thread that asked for the work.
typedef struct sl_watch {
    bool (*go_on)(void *user, double done); ///< may be NULL
    void *user;
} sl_watch;

/// The shape of a panel: neither its metal nor its thickness.
typedef struct sl_panel_shape {
    double width_m, height_m; ///< in x and in y, above 0
    double mesh_m;            ///< the longest side of a cell; 0: a third of the smallest stud
    const sl_stud *studs;     ///< [stud_count], 2 or more; they do not touch
    int32_t stud_count;       ///< at most SL_STUDS_MOST
    const sl_cutout *cutouts; ///< [cutout_count]; may overlap
    int32_t cutout_count;     ///< at most SL_CUTOUTS_MOST
} sl_panel_shape;

#define SL_STUDS_MOST 256
#define SL_CUTOUTS_MOST 256
#define SL_PANEL_CELLS_MOST 16000000

/// The mesh that was used. After a failure only `message` is set: what was wrong.
typedef struct sl_panel_mesh {
    int32_t cells_x, cells_y;
    double step_x_m, step_y_m; ///< width_m / cells_x, height_m / cells_y
    char message[600];
} sl_panel_mesh;

/// Reduces a panel to its studs. conductance[stud_count * stud_count] receives the conductance
/// between every two, symmetric, in units of that of a square of the sheet, thickness / resistivity
/// (siemens): never below 0, 0 on the diagonal and where no metal joins two.
///
/// Every entry is that of the mesh to a few units in the last place: the nodes are eliminated by
/// nested dissection, in sums and products of numbers that are never negative. The mesh itself is
/// off by less than 2.5 % of the resistance between two discs that stand four diameters apart when
/// a disc is 2 cells across (the coarsest allowed), 1 % at 3, 0.3 % at 6, and by a quarter of that
/// for each halving: edges that a stud cuts count with the part outside it, so neither the place
/// nor the size of a stud is rounded to the mesh.
///
/// @param alloc may be NULL; all memory is freed again: 1000 x 1000 cells take 160 MiB meanwhile.
/// @param watch may be NULL. @param mesh must not be NULL.
/// @return SL_OK; SL_E_ARG or SL_E_VALUE (a count or a size that cannot stand), SL_E_STOPPED,
/// SL_E_NOMEM; conductance is then untouched.
/// Cost: about the power 1.5 of the number of cells. Threads: any; it touches nothing else.
SL_API sl_status sl_panel_reduce(const sl_alloc *alloc, const sl_panel_shape *shape,
                                 const sl_watch *watch, double *conductance, sl_panel_mesh *mesh);

/// A panel to be added to a circuit.
typedef struct sl_panel_def {
    const char *name;
    const sl_panel_shape *shape; ///< its studs have nodes, each another one
    const double *values;  ///< a value per parameter of the kind "sheet": metal, thickness and so
                           ///< on; NaN where left out, `squares` among them
    const sl_watch *watch; ///< may be NULL
} sl_panel_def;

/// Panels are numbered from 0 in the order they are added.
typedef int32_t sl_panel;

/// Adds a panel: a part of the kind "sheet", named "PANEL NODE - NODE", for every two studs that
/// metal joins. Its thickness, metal and temperature may be changed later, and taken as faults, in
/// all of those parts alike; its shape may not.
/// @return as sl_panel_reduce and sl_circuit_add; on failure the circuit is as it was.
SL_API sl_status sl_circuit_add_panel(sl_circuit *circuit, const sl_panel_def *def, sl_panel *out);

SL_API int32_t sl_circuit_panel_count(const sl_circuit *circuit);

/// The panel of that name, or SL_NONE; the name of one, or NULL.
SL_API sl_panel sl_circuit_find_panel(const sl_circuit *circuit, const char *name);
SL_API const char *sl_circuit_panel_name(const sl_circuit *circuit, sl_panel panel);

/// The parts of a panel are numbers *first to *first + *count - 1. @return SL_OK, SL_E_ARG.
SL_API sl_status sl_circuit_panel_parts(const sl_circuit *circuit, sl_panel panel, sl_part *first,
                                        int32_t *count);

/// The panel that a part belongs to, or SL_NONE.
SL_API sl_panel sl_circuit_part_panel(const sl_circuit *circuit, sl_part part);

/// Its studs, in the order they were given: how many (-1: no such panel), and the node of one
/// (SL_NONE when there is none of that number).
SL_API int32_t sl_circuit_stud_count(const sl_circuit *circuit, sl_panel panel);
SL_API sl_node sl_circuit_stud_node(const sl_circuit *circuit, sl_panel panel, int32_t stud);

/// The current from a stud into the metal, in A. @return SL_OK; SL_E_ARG: not solved, or no such
/// stud.
SL_API sl_status sl_case_stud(const sl_case *cs, sl_panel panel, int32_t stud, double *current_a);

#ifdef __cplusplus
}
#endif
#endif
