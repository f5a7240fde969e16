/* strapline/panel.h: panels of a circuit, what is refused, and what is left after a failure. */
#include "build.h"
#include "near.h"

#include <stdlib.h>
#include <string.h>

#include "strapline/panel.h"

/* A stud that is a disc. */
#define DISC(node, x, y, diameter)                                                                 \
    {                                                                                              \
        node, x, y, diameter, 0.0, 0.0                                                             \
    }

/* Three studs on a steel floor of 1.2 m x 0.8 m. */
static const sl_stud studs[] = {
    DISC("S1", 0.1, 0.1, 0.03),
    DISC("S2", 1.1, 0.1, 0.03),
    DISC("S3", 0.6, 0.7, 0.03),
};

static sl_panel_shape floor_shape(void)
{
    return (sl_panel_shape){.width_m = 1.2, .height_m = 0.8, .studs = studs, .stud_count = 3};
}

static int32_t param(const char *name)
{
    return build_param(sl_kind_find("sheet"), name);
}

/* Values of steel of that thickness. */
static const double *metal(double thickness_m)
{
    static double values[16];
    for (int32_t k = 0; k < 16; k++) {
        values[k] = NAN;
    }
    values[param("thickness")] = thickness_m;
    return values;
}

static sl_status add(sl_circuit *c, const char *name, const sl_panel_shape *shape, sl_panel *out)
{
    const sl_panel_def def = {.name = name, .shape = shape, .values = metal(0.8e-3)};
    return sl_circuit_add_panel(c, &def, out);
}

static void a_panel_is_a_part_between_every_two_studs(void **unused)
{
    (void)unused;
    build b = build_start();
    const sl_panel_shape shape = floor_shape();
    sl_panel panel = -1;
    assert_int_equal(add(b.circuit, "FLOOR", &shape, &panel), SL_OK);
    assert_int_equal(sl_circuit_panel_count(b.circuit), 1);
    assert_int_equal(sl_circuit_find_panel(b.circuit, "FLOOR"), panel);
    assert_int_equal(sl_circuit_find_panel(b.circuit, "ROOF"), SL_NONE);
    assert_string_equal(sl_circuit_panel_name(b.circuit, panel), "FLOOR");
    assert_null(sl_circuit_panel_name(b.circuit, 1));
    sl_part first = -1;
    int32_t count = 0;
    assert_int_equal(sl_circuit_panel_parts(b.circuit, panel, &first, &count), SL_OK);
    assert_int_equal(sl_circuit_panel_parts(b.circuit, 7, &first, &count), SL_E_ARG);
    assert_int_equal(first, 0);
    assert_int_equal(count, 3);
    assert_string_equal(sl_circuit_part_name(b.circuit, 0), "FLOOR S1 - S2");
    assert_int_equal(sl_circuit_part_panel(b.circuit, 2), panel);
    assert_int_equal(sl_circuit_part_panel(b.circuit, 3), SL_NONE);
    assert_int_equal(sl_circuit_stud_count(b.circuit, panel), 3);
    assert_int_equal(sl_circuit_stud_node(b.circuit, panel, 1),
                     sl_circuit_find_node(b.circuit, "S2"));
    assert_int_equal(sl_circuit_stud_node(b.circuit, panel, 3), SL_NONE);
    build_free(&b);
}

/* What flows into one stud comes out of the others, in proportion to the symmetry of the floor. */
static void studs_carry_what_conductors_bring(void **unused)
{
    (void)unused;
    build b = build_start();
    const sl_panel_shape shape = floor_shape();
    sl_panel panel = -1;
    assert_int_equal(add(b.circuit, "FLOOR", &shape, &panel), SL_OK);
    build_reference(&b, "G");
    build_resistor(&b, "S1", "G", 1e-3);
    build_resistor(&b, "S2", "G", 1e-3);
    build_current(&b, "S3", "G", 10.0);
    double amps = 0.0;
    build_case(&b);
    assert_int_equal(sl_case_stud(b.cs, panel, 0, &amps), SL_E_ARG);
    build_solve(&b);
    assert_int_equal(sl_case_stud(b.cs, panel, 2, &amps), SL_OK);
    assert_near("into the metal", amps, 10.0, 1e-14);
    assert_int_equal(sl_case_stud(b.cs, panel, 0, &amps), SL_OK);
    assert_near("half out of it", amps, -5.0, 1e-11);
    assert_int_equal(sl_case_stud(b.cs, panel, 1, &amps), SL_OK);
    assert_near("the other half", amps, -5.0, 1e-11);
    assert_int_equal(sl_case_stud(b.cs, panel, 3, &amps), SL_E_ARG);
    build_free(&b);
}

/* Thinner by a half: every drop in the metal doubles. Aluminium for steel: as the resistivities. */
static void metal_and_thickness_may_change_and_the_shape_stays(void **unused)
{
    (void)unused;
    build b = build_start();
    const sl_panel_shape shape = floor_shape();
    sl_panel panel = -1;
    assert_int_equal(add(b.circuit, "FLOOR", &shape, &panel), SL_OK);
    build_reference(&b, "S1");
    build_current(&b, "S3", "S1", 10.0);
    build_solve(&b);
    const double sound = build_volts(&b, "S3");
    assert_true(sound > 10e-3 * 0.1 && sound < 10e-3);
    for (sl_part part = 0; part < 3; part++) {
        build_set(&b, part, "thinned", 0.5);
    }
    build_solve(&b);
    assert_near("half the metal", build_volts(&b, "S3"), 2.0 * sound, 1e-12);
    build_healthy(&b);
    for (sl_part part = 0; part < 3; part++) {
        build_set(&b, part, "temperature", 120.0); /* steel: 0.005 per K at 20 C */
    }
    build_solve(&b);
    assert_near("100 K warmer", build_volts(&b, "S3"), 1.5 * sound, 1e-12);
    build_free(&b);
}

/* A shape that cannot stand, and a word of what is said of it. */
typedef struct refused {
    const char *label;
    sl_panel_shape shape;
    sl_status status;
    const char *says;
} refused;

static void what_cannot_stand_is_refused_and_said(void **unused)
{
    (void)unused;
    static const sl_stud point[] = {DISC("A", 0.1, 0.1, 0), DISC("B", 0.5, 0.5, 0.03)};
    static const sl_stud outside[] = {DISC("A", 0.1, -0.1, 0.03), DISC("B", 0.5, 0.5, 0.03)};
    static const sl_stud too_long[] = {{"A", 0.1, 0.1, 0, 0.5, 0.0}, DISC("B", 0.5, 0.5, 0.03)};
    static const sl_stud both[] = {{"A", 0.1, 0.1, 0.02, 0.02, 0.0}, DISC("B", 0.5, 0.5, 0.03)};
    static const sl_stud close[] = {DISC("A", 0.1, 0.1, 0.03), DISC("B", 0.12, 0.11, 0.03)};
    static const sl_stud not_a_number[] = {DISC("A", NAN, 0.1, 0.03), DISC("B", 0.12, 0.4, 0.03)};
    static const sl_stud tiny[] = {DISC("A", 0.1, 0.1, 1e-5), DISC("B", 0.12, 0.4, 0.03)};
    static const sl_cutout off[] = {{0.5, 0.5, 1.0, 0.1}};
    static const sl_cutout thin[] = {{0.5, 0.5, 1e-4, 0.1}};
    static const sl_cutout under[] = {{0.0, 0.0, 0.2, 0.2}};
    const refused list[] = {
        {"point", {1.2, 0.8, 0, point, 2, NULL, 0}, SL_E_VALUE, "\"A\": give either the diameter"},
        {"outside", {1.2, 0.8, 0, outside, 2, NULL, 0}, SL_E_VALUE, "is at 0.1 m, -0.1 m; allowed"},
        {"long bar", {1.2, 0.8, 0, too_long, 2, NULL, 0}, SL_E_VALUE, "a bar with all its length"},
        {"disc and bar", {1.2, 0.8, 0, both, 2, NULL, 0}, SL_E_VALUE, "give either"},
        {"touching", {1.2, 0.8, 0, close, 2, NULL, 0}, SL_E_VALUE, "\"B\": it touches stud \"A\""},
        {"NaN", {1.2, 0.8, 0, not_a_number, 2, NULL, 0}, SL_E_VALUE, "allowed"},
        {"tiny stud", {1.2, 0.8, 0, tiny, 2, NULL, 0}, SL_E_VALUE, "cells, more than"},
        {"coarse", {1.2, 0.8, 0.02, studs, 3, NULL, 0}, SL_E_VALUE, "too coarse"},
        {"no mesh", {1.2, 0.8, -1.0, studs, 3, NULL, 0}, SL_E_VALUE, "mesh"},
        {"no width", {0.0, 0.8, 0, studs, 3, NULL, 0}, SL_E_VALUE, "the panel is 0 m x 0.8 m"},
        {"one stud", {1.2, 0.8, 0, studs, 1, NULL, 0}, SL_E_ARG, "1 studs; allowed: 2 to"},
        {"cut-out off", {1.2, 0.8, 0, studs, 3, off, 1}, SL_E_VALUE, "cut-out 1"},
        {"thin cut-out", {1.2, 0.8, 0, studs, 3, thin, 1}, SL_E_VALUE, "would vanish"},
        {"stud on air", {1.2, 0.8, 0, studs, 3, under, 1}, SL_E_VALUE, "lies in cut-out 1"},
    };
    build b = build_start();
    for (size_t k = 0; k < sizeof list / sizeof *list; k++) {
        sl_panel panel = -1;
        assert_int_equal(add(b.circuit, "FLOOR", &list[k].shape, &panel), list[k].status);
        if (!strstr(sl_circuit_message(b.circuit), list[k].says)) {
            fail_msg("%s: %s", list[k].label, sl_circuit_message(b.circuit));
        }
        assert_int_equal(panel, -1);
        assert_int_equal(sl_circuit_panel_count(b.circuit), 0);
        assert_int_equal(sl_circuit_node_count(b.circuit), 0);
        assert_int_equal(sl_circuit_part_count(b.circuit), 0);
    }
    build_free(&b);
}

static void names_are_kept_apart(void **unused)
{
    (void)unused;
    static const sl_stud same[] = {DISC("A", 0.1, 0.1, 0.03), DISC("A", 0.5, 0.5, 0.03)};
    static const sl_stud nameless[] = {DISC("", 0.1, 0.1, 0.03), DISC("A", 0.5, 0.5, 0.03)};
    build b = build_start();
    sl_panel_shape shape = floor_shape();
    sl_panel panel = -1;
    assert_int_equal(add(b.circuit, "FLOOR", &shape, &panel), SL_OK);
    assert_int_equal(add(b.circuit, "FLOOR", &shape, &panel), SL_E_NAME);
    assert_int_equal(add(b.circuit, "", &shape, &panel), SL_E_ARG);
    assert_int_equal(add(b.circuit, "A:B", &shape, &panel), SL_E_ARG);
    const double ohm = 1.0;
    const char *nodes[] = {"S1", "S2"};
    const sl_part_def part = {.kind = "resistor", .name = "FLOOR", .nodes = nodes, .values = &ohm};
    sl_part index = -1;
    assert_int_equal(sl_circuit_add(b.circuit, &part, &index), SL_E_NAME);
    shape.stud_count = 2;
    shape.studs = same;
    assert_int_equal(add(b.circuit, "ROOF", &shape, &panel), SL_E_NAME);
    shape.studs = nameless;
    assert_int_equal(add(b.circuit, "ROOF", &shape, &panel), SL_E_ARG);
    shape = floor_shape();
    const sl_panel_def thick = {.name = "ROOF", .shape = &shape, .values = metal(5.0)};
    assert_int_equal(sl_circuit_add_panel(b.circuit, &thick, &panel), SL_E_VALUE);
    assert_non_null(strstr(sl_circuit_message(b.circuit), "thickness"));
    assert_int_equal(sl_circuit_panel_count(b.circuit), 1);
    build_free(&b);
}

static bool stop(void *user, double done)
{
    (void)user;
    (void)done;
    return false;
}

static void work_can_be_stopped(void **unused)
{
    (void)unused;
    build b = build_start();
    const sl_panel_shape shape = floor_shape();
    const sl_watch watch = {stop, NULL};
    const sl_panel_def def = {
        .name = "FLOOR", .shape = &shape, .values = metal(1e-3), .watch = &watch};
    sl_panel panel = -1;
    assert_int_equal(sl_circuit_add_panel(b.circuit, &def, &panel), SL_E_STOPPED);
    assert_int_equal(sl_circuit_part_count(b.circuit), 0);
    build_free(&b);
}

/* A stud that a cut-out has parted from the others is a node like any other, and floats. */
static void a_stud_cut_off_floats(void **unused)
{
    (void)unused;
    const sl_cutout gap[] = {{0.8, 0.0, 0.1, 0.8}};
    build b = build_start();
    sl_panel_shape shape = floor_shape();
    shape.cutouts = gap;
    shape.cutout_count = 1;
    sl_panel panel = -1;
    assert_int_equal(add(b.circuit, "FLOOR", &shape, &panel), SL_OK);
    assert_int_equal(sl_circuit_part_count(b.circuit), 1);
    build_reference(&b, "S1");
    build_current(&b, "S3", "S1", 10.0);
    build_solve(&b);
    assert_true(isnan(build_volts(&b, "S2")));
    double amps = NAN;
    assert_int_equal(sl_case_stud(b.cs, panel, 1, &amps), SL_OK);
    assert_true(amps == 0.0);
    build_free(&b);
}

/* An allocator that fails from its n-th call on, and counts blocks. */
typedef struct budget {
    int64_t calls, blocks;
} budget;

static void *spend(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    budget *b = user;
    (void)old_bytes;
    if (new_bytes == 0) {
        b->blocks -= block != NULL;
        free(block);
        return NULL;
    }
    if (b->calls-- <= 0) {
        return NULL;
    }
    b->blocks += block == NULL;
    return realloc(block, new_bytes);
}

/* Adds the floor with so many calls to the allocator; returns how many are left. */
static int64_t add_with(int64_t calls, sl_status *st)
{
    const sl_panel_shape shape = floor_shape();
    budget b = {INT64_MAX, 0};
    const sl_alloc al = {spend, &b};
    sl_circuit *c = NULL;
    sl_panel panel = -1;
    assert_int_equal(sl_circuit_new(&al, &c), SL_OK);
    b.calls = calls;
    *st = add(c, "FLOOR", &shape, &panel);
    const int64_t left = b.calls;
    if (*st != SL_OK) {
        assert_int_equal(*st, SL_E_NOMEM);
        assert_int_equal(sl_circuit_part_count(c), 0);
        assert_int_equal(sl_circuit_node_count(c), 0);
        assert_int_equal(sl_circuit_panel_count(c), 0);
        b.calls = INT64_MAX;
        assert_int_equal(add(c, "FLOOR", &shape, &panel), SL_OK);
        assert_int_equal(sl_circuit_part_count(c), 3);
    }
    sl_circuit_free(c);
    assert_int_equal(b.blocks, 0);
    return left;
}

/* Before the mesh is reduced and after it; in between unit.sheet_test fails every call. */
static void after_any_failed_allocation_the_circuit_is_as_it_was(void **unused)
{
    (void)unused;
    enum { BEFORE = 12, AFTER = 45 };
    sl_status st = SL_OK;
    const int64_t all = INT64_MAX - add_with(INT64_MAX, &st);
    assert_int_equal(st, SL_OK);
    assert_true(all > BEFORE + AFTER);
    for (int64_t calls = 0; calls < all; calls++) {
        calls = calls == BEFORE ? all - AFTER : calls;
        add_with(calls, &st);
        assert_int_equal(st, SL_E_NOMEM);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_panel_is_a_part_between_every_two_studs),
        cmocka_unit_test(studs_carry_what_conductors_bring),
        cmocka_unit_test(metal_and_thickness_may_change_and_the_shape_stays),
        cmocka_unit_test(what_cannot_stand_is_refused_and_said),
        cmocka_unit_test(names_are_kept_apart),
        cmocka_unit_test(work_can_be_stopped),
        cmocka_unit_test(a_stud_cut_off_floats),
        cmocka_unit_test(after_any_failed_allocation_the_circuit_is_as_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
