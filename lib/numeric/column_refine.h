/* lib/numeric/column_refine.h: the arithmetic of pair.h and balance.h in lanes. A file that
   includes this has defined these, which are gone afterwards:

       FUNCTION          what stands before every function, as `static`
       NAME(x)           the name of x
       VECTOR            the vectors of this processor
       PARTS             how many of them SL__LANES doubles take
       FUSED(a, b, c)    a b + c rounded once; or not defined

   Every lane has the digits that pair.h and balance.h would give it alone: what is exact there is
   exact here, however it is found, and the rest is done in the same order. */

typedef struct NAME(lane_row) {
    VECTOR part[PARTS];
} NAME(lane_row);

typedef struct NAME(lane_pair) {
    NAME(lane_row) hi, lo;
} NAME(lane_pair);

/* All arrays have a last entry for the reference. */
typedef struct NAME(lane_room) {
    const sl__columns *c;
    NAME(lane_row) * b, *x;
    NAME(lane_pair) * v, *sum, *i;
} NAME(lane_room);

#define EACH_PART for (int32_t h = 0; h < PARTS; h++)

/* *s = a + b in pairs: sl__pair_add. */
FUNCTION inline void NAME(add)(const VECTOR *a, const VECTOR *a_lo, const VECTOR *b,
                               const VECTOR *b_lo, VECTOR *hi, VECTOR *lo)
{
    const VECTOR s = *a + *b, bb = s - *a;
    const VECTOR left = (*a - (s - bb)) + (*b - bb);
    const VECTOR more = left + (*a_lo + *b_lo);
    const VECTOR all = s + more;
    *lo = more - (all - s);
    *hi = all;
}

/* sl__pair_scale. */
FUNCTION inline void NAME(scale)(const VECTOR *a, const VECTOR *a_lo, double k, sl__pair split,
                                 VECTOR *hi, VECTOR *lo)
{
    const VECTOR p = *a * k;
#ifdef FUSED
    (void)split;
    const VECTOR left = FUSED(*a, k, -p);
#else
    const VECTOR t = 0x1p27 * *a + *a, high = t - (t - *a), low = *a - high;
    const VECTOR left = ((high * split.hi - p) + high * split.lo + low * split.hi) + low * split.lo;
#endif
    const VECTOR more = *a_lo * k + left, all = p + more;
    *lo = more - (all - p);
    *hi = all;
}

/* Takes a current out of the row it comes from and gives it to the other: the inside of
   sl__pair_residual. */
FUNCTION inline void NAME(carry)(const NAME(lane_room) * room, int32_t e)
{
    NAME(lane_pair) *a = &room->sum[room->c->from[e]], *b = &room->sum[room->c->to[e]];
    const NAME(lane_pair) *i = &room->i[e];
    EACH_PART
    {
        const VECTOR minus = -i->hi.part[h], minus_lo = -i->lo.part[h];
        NAME(add)
        (&a->hi.part[h], &a->lo.part[h], &minus, &minus_lo, &a->hi.part[h], &a->lo.part[h]);
        NAME(add)
        (&b->hi.part[h], &b->lo.part[h], &i->hi.part[h], &i->lo.part[h], &b->hi.part[h],
         &b->lo.part[h]);
    }
}

/* Leaves in b what is left over in each row. */
FUNCTION void NAME(round_sums)(const NAME(lane_room) * room)
{
    for (int32_t r = 0; r < room->c->rows; r++) {
        EACH_PART
        {
            room->b[r].part[h] = room->sum[r].hi.part[h] + room->sum[r].lo.part[h];
        }
    }
}

/* sl__pair_currents, from voltages that are doubles, and sl__pair_residual, whose sums hold what is
   injected: one way through the branches. */
FUNCTION void NAME(currents)(const NAME(lane_room) * room)
{
    const sl__columns *c = room->c;
    for (int32_t e = 0; e < c->branches; e++) {
        const NAME(lane_row) *a = &room->x[c->from[e]], *b = &room->x[c->to[e]];
        const double g = c->g[e];
        const sl__pair split = sl__split(g);
        if (g == 0.0) {
            room->i[e] = (NAME(lane_pair)){0};
            continue;
        }
        EACH_PART
        {
            const VECTOR none = {0.0}, minus = -b->part[h];
            VECTOR hi, lo;
            NAME(add)(&a->part[h], &none, &minus, &none, &hi, &lo);
            NAME(scale)(&hi, &lo, g, split, &room->i[e].hi.part[h], &room->i[e].lo.part[h]);
        }
        NAME(carry)(room, e);
    }
    NAME(round_sums)(room);
}

/* sl__pair_correct by x, and the residual again. */
FUNCTION void NAME(correct)(const NAME(lane_room) * room)
{
    const sl__columns *c = room->c;
    const VECTOR none = {0.0};
    for (int32_t r = 0; r < c->rows; r++) {
        NAME(lane_pair) *v = &room->v[r];
        EACH_PART
        {
            NAME(add)
            (&v->hi.part[h], &v->lo.part[h], &room->x[r].part[h], &none, &v->hi.part[h],
             &v->lo.part[h]);
        }
    }
    for (int32_t e = 0; e < c->branches; e++) {
        const NAME(lane_row) *a = &room->x[c->from[e]], *b = &room->x[c->to[e]];
        NAME(lane_pair) *i = &room->i[e];
        const double g = c->g[e];
        const sl__pair split = sl__split(g);
        EACH_PART
        {
            const VECTOR va = a->part[h], minus = -b->part[h], s = va + minus, bb = s - va;
            const VECTOR left = (va - (s - bb)) + (minus - bb);
            VECTOR hi, lo;
            NAME(scale)(&s, &left, g, split, &hi, &lo);
            NAME(add)
            (&i->hi.part[h], &i->lo.part[h], &hi, &lo, &i->hi.part[h], &i->lo.part[h]);
        }
        NAME(carry)(room, e);
    }
    NAME(round_sums)(room);
}

/* The most of each lane. */
FUNCTION void NAME(most_of)(const double *b, int32_t rows, double *most)
{
    memset(most, 0, SL__LANES * sizeof *most);
    for (int32_t r = 0; r < rows; r++) {
        for (int32_t l = 0; l < SL__LANES; l++) {
            const double size = fabs(b[r * SL__LANES + l]);
            most[l] = size > most[l] ? size : most[l];
        }
    }
}

/* Whether any lane has more than `least` left; what the others have is cleared, so that they stay
   as they are. */
FUNCTION bool NAME(any_left)(double *b, int32_t rows, const double *least)
{
    double most[SL__LANES], keep[SL__LANES];
    bool any = false;
    NAME(most_of)(b, rows, most);
    for (int32_t l = 0; l < SL__LANES; l++) {
        keep[l] = most[l] <= least[l] ? 0.0 : 1.0;
        any = any || keep[l] != 0.0;
    }
    for (int32_t r = 0; r < rows; r++) {
        for (int32_t l = 0; l < SL__LANES; l++) {
            b[r * SL__LANES + l] *= keep[l];
        }
    }
    return any;
}

/* sum = what is sent in. */
FUNCTION void NAME(inject)(const NAME(lane_room) * room)
{
    const NAME(lane_row) *into = (const void *)room->c->into;
    for (int32_t r = 0; r <= room->c->rows; r++) {
        room->sum[r] = (NAME(lane_pair)){.hi = into[r]};
    }
}

/* Leaves voltages and currents in v and i. */
FUNCTION void NAME(refine)(sl__columns *c)
{
    const NAME(lane_room)
        room = {c, (void *)c->b, (void *)c->x, (void *)c->v, (void *)c->sum, (void *)c->i};
    double least[SL__LANES];
    NAME(most_of)(c->into, c->rows, least);
    for (int32_t l = 0; l < SL__LANES; l++) {
        least[l] *= SL__COLUMN_LEFT;
    }
    NAME(inject)(&room);
    sl__factor_solve_lanes(c->f, c->into, c->x, c->work);
    for (int32_t r = 0; r < c->rows; r++) {
        room.v[r] = (NAME(lane_pair)){.hi = room.x[r]};
    }
    NAME(currents)(&room);
    for (int step = 0; step < SL__COLUMN_STEPS && NAME(any_left)(c->b, c->rows, least); step++) {
        sl__factor_solve_lanes(c->f, c->b, c->x, c->work);
        NAME(inject)(&room);
        NAME(correct)(&room);
    }
}

#undef EACH_PART
#undef FUNCTION
#undef NAME
#undef VECTOR
#undef PARTS
#undef FUSED
