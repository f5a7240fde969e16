/* lib/numeric/column.c: one solve, refined. */
#include "numeric/column.h"

#include <string.h>

static void send(sl__column_room *room, int32_t branch)
{
    int32_t a = room->from[branch], b = room->to[branch];
    memset(room->b, 0, (size_t)room->rows * sizeof *room->b);
    memset(room->inject, 0, (size_t)room->rows * sizeof *room->inject);
    if (a >= 0) {
        room->b[a] += 1.0;
    }
    if (b >= 0) {
        room->b[b] -= 1.0;
    }
    for (int32_t end = 0; end < 2; end++) {
        int32_t row = end ? b : a;
        if (row >= 0) {
            room->inject[row] = sl__pair_of(room->b[row]);
        }
    }
}

double sl__column(sl__column_room *room, int32_t branch, double *volt, double *amp)
{
    send(room, branch);
    sl__factor_solve(room->factor, room->b, room->x);
    for (int32_t row = 0; row < room->rows; row++) {
        room->v[row] = sl__pair_of(room->x[row]);
    }
    sl__pair_currents(room->branches, room->from, room->to, room->g, NULL, room->v, room->i);
    for (int step = 0; step < SL__COLUMN_STEPS; step++) {
        double left = sl__pair_residual(room->rows, room->branches, room->from, room->to, room->i,
                                        room->inject, room->sum, room->b);
        if (left < SL__COLUMN_LEFT) {
            break;
        }
        sl__factor_solve(room->factor, room->b, room->x);
        sl__pair_correct(room->rows, room->branches, room->from, room->to, room->g, room->x,
                         room->v, room->i);
    }
    for (int32_t row = 0; row < room->rows; row++) {
        volt[row] = sl__pair_value(room->v[row]);
    }
    for (int32_t k = 0; k < room->branches; k++) {
        amp[k] = sl__pair_value(room->i[k]);
    }
    return sl__pair_value(sl__pair_sub(sl__pair_of(1.0), room->i[branch]));
}
