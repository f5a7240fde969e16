/* lib/numeric/factor_eliminate.h: a factor from conductances, written once for every variant: +, *
   and / of numbers that are never negative. A file that includes this has defined FUNCTION and
   NAME(x) as for factor_solve.h; they are gone afterwards.

   A = L D L' with D the pivots and L = I - (conductances left below) / pivot. Only the conductances
   left are stored; with q = 1/pivot, eliminating column k does to every pair of its rows a < b

       g_ab += (g_ak q_k) g_bk

   which is a star turned into its polygon, the reference being one of the points. */

#define REAL double
#include "numeric/factor_columns.h"

/* 0 for a pivot of 0. */
FUNCTION double NAME(inverse_of)(double pivot)
{
    return pivot > 0.0 ? 1.0 / pivot : 0.0;
}

/* How far the elimination has come: what is next to read of all that lies in the order of the
   blocks. */
typedef struct NAME(cursor) {
    int32_t column;
    double *value;
    const int32_t *place;
    const sl__factor_link *link;
    double weight[SL__WIDEST_BLOCK]; /* room: what the columns of a block count with */
} NAME(cursor);

FUNCTION double NAME(sum_of)(int32_t count, const double *v)
{
    double s0 = 0.0, s1 = 0.0, s2 = 0.0, s3 = 0.0;
    int32_t i = 0;
    for (; i + 4 <= count; i += 4) {
        s0 += v[i];
        s1 += v[i + 1];
        s2 += v[i + 2];
        s3 += v[i + 3];
    }
    for (; i < count; i++) {
        s0 += v[i];
    }
    return (s0 + s1) + (s2 + s3);
}

/* A block of one column with few rows below. Most are, away from the root: on a network like a tree
   this is all the work. */
FUNCTION void NAME(eliminate_column)(sl__factor *f, const sl__factor_block *b, NAME(cursor) * at)
{
    const double *g = at->value + 1;
    double even = g[0], odd = 0.0;
    int32_t i = 1, below = b->below;
    for (; i + 1 < below; i += 2) {
        odd += g[i];
        even += g[i + 1];
    }
    if (i < below) {
        odd += g[i];
    }
    const double q = NAME(inverse_of)(even + odd);
    f->inverse_pivot[at->column] = q;
    double *value = f->value;
    const int32_t *place = at->place;
    for (; below > 1; below--, g++) {
        const double weight = g[0] * q;
        for (i = 1; i < below; i++) {
            value[*place++] += weight * g[i];
        }
    }
    at->place = place;
}

/* Eliminates the columns of a block within the block. */
FUNCTION void NAME(eliminate_within)(sl__factor *f, const sl__factor_block *b, NAME(cursor) * at)
{
    int32_t height = b->width + b->below;
    double *q = f->inverse_pivot + at->column, *weight = at->weight;
    weight[0] = 0.0; /* the first column has none before it */
    for (int32_t c = 0; c < b->width; c++) {
        double *column = at->value + (int64_t)c * height;
        for (int32_t k = 0; k < c; k++) {
            weight[k] = at->value[(int64_t)k * height + c] * q[k];
        }
        NAME(add_columns)(height - c - 1, c, weight, at->value + c + 1, height, column + c + 1);
        q[c] = NAME(inverse_of)(NAME(sum_of)(height - c - 1, column + c + 1));
    }
}

/* Adds to a column of another block what this block leaves between its row `a` below, which that
   column is, and the rows after it. `place` is where row a and those after it are in the column. */
FUNCTION void NAME(send_column)(sl__factor *f, const sl__factor_block *b, NAME(cursor) * at,
                                int32_t a, const int32_t *place, double *to)
{
    int32_t height = b->width + b->below, after = b->below - a - 1;
    const double *value = at->value + b->width + a, *q = f->inverse_pivot + at->column;
    double *weight = at->weight;
    for (int32_t k = 0; k < b->width; k++) {
        weight[k] = value[(int64_t)k * height] * q[k];
    }
    if (b->width == 1) {
        for (int32_t i = 1; i <= after; i++) {
            to[place[i]] += weight[0] * value[i];
        }
        return;
    }
    if (place[after] - place[0] == after) { /* all next to each other, as in the full root */
        NAME(add_columns)(after, b->width, weight, value + 1, height, to + place[1]);
        return;
    }
    memset(f->sum, 0, (size_t)after * sizeof *f->sum);
    NAME(add_columns)(after, b->width, weight, value + 1, height, f->sum);
    for (int32_t i = 0; i < after; i++) {
        to[place[i + 1]] += f->sum[i];
    }
}

FUNCTION void NAME(eliminate_block)(sl__factor *f, const sl__factor_block *b, NAME(cursor) * at)
{
    NAME(eliminate_within)(f, b, at);
    const int32_t *place = at->place;
    int32_t a = 0;
    for (const sl__factor_link *link = at->link, *end = link + b->links; link < end; link++) {
        double *target = f->value + link->value_at;
        for (; a < link->end; a++, place++) {
            NAME(send_column)(f, b, at, a, place, target + place[0] * (int64_t)link->height);
        }
        place += b->below - link->end;
    }
    at->place = place;
    at->link += b->links;
}

FUNCTION void NAME(eliminate)(sl__factor *f, const double *g)
{
    memset(f->value, 0, (size_t)f->values * sizeof *f->value);
    for (int32_t e = 0; e < f->branches; e++) {
        if (f->branch_at[e] >= 0) {
            f->value[f->branch_at[e]] += g[e];
        }
    }
    NAME(cursor) at = {.value = f->value, .place = f->place, .link = f->link};
    for (const sl__factor_block *b = f->block, *end = b + f->blocks; b < end; b++) {
        if (b->width == 1 && b->below < SL__FEWEST_LINKED) {
            NAME(eliminate_column)(f, b, &at);
        } else {
            NAME(eliminate_block)(f, b, &at);
        }
        at.column += b->width;
        at.value += b->width * (int64_t)(b->width + b->below);
    }
}

#undef REAL
#undef FUNCTION
#undef NAME
