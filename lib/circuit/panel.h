/* lib/circuit/panel.h: how the panels of a circuit are held. */
#ifndef SL_CIRCUIT_PANEL_H
#define SL_CIRCUIT_PANEL_H

#include "base/names.h"
#include "strapline/panel.h"

typedef struct sl__panel {
    sl_part first; /* its parts are first .. first + count - 1 */
    int32_t count;
    int32_t stud_at, studs; /* their nodes are stud_node[stud_at ...] */
} sl__panel;

typedef struct sl__panel_list {
    sl__names names;
    sl__panel *panel;   /* [panel_room], names.count in use */
    sl_node *stud_node; /* [stud_room], stud_count in use */
    int32_t panel_room, stud_room, stud_count;
} sl__panel_list;

void sl__panels_free(const sl_alloc *al, sl__panel_list *list);

#endif
