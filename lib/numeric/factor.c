/* lib/numeric/factor.c: the arithmetic of a factor: +, * and / of numbers that are never negative.

   A = L D L' with D the pivots and L = I - (conductances left below) / pivot. Only the conductances
   left are stored; with q = 1/pivot, eliminating column k does to every pair of its rows a < b

       g_ab += (g_ak q_k) g_bk

   which is a star turned into its polygon, the reference being one of the points. */
#include "numeric/factor_internal.h"

#include <string.h>

/* to[i] += sum of weight[c] * column c, row i. Four columns at a time: the sum then stays in a
   register for as many steps, and loads no longer bound the speed. */
static void add_columns(int32_t rows, int32_t columns, const double *weight, const double *from,
                        int64_t stride, double *restrict to)
{
    int32_t c = 0;
    for (; c + 4 <= columns; c += 4, from += 4 * stride) {
        const double *f0 = from, *f1 = f0 + stride, *f2 = f1 + stride, *f3 = f2 + stride;
        double w0 = weight[c], w1 = weight[c + 1], w2 = weight[c + 2], w3 = weight[c + 3];
        for (int32_t i = 0; i < rows; i++) {
            to[i] += (w0 * f0[i] + w1 * f1[i]) + (w2 * f2[i] + w3 * f3[i]);
        }
    }
    for (; c < columns; c++, from += stride) {
        double w = weight[c];
        for (int32_t i = 0; i < rows; i++) {
            to[i] += w * from[i];
        }
    }
}

static double sum_of(int32_t count, const double *v)
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

static double product_sum(int32_t count, const double *v, const double *w)
{
    double s0 = 0.0, s1 = 0.0, s2 = 0.0, s3 = 0.0;
    int32_t i = 0;
    for (; i + 4 <= count; i += 4) {
        s0 += v[i] * w[i];
        s1 += v[i + 1] * w[i + 1];
        s2 += v[i + 2] * w[i + 2];
        s3 += v[i + 3] * w[i + 3];
    }
    for (; i < count; i++) {
        s0 += v[i] * w[i];
    }
    return (s0 + s1) + (s2 + s3);
}

/* How far the elimination has come: what is next to read of all that lies in the order of the
   blocks. */
typedef struct cursor {
    int32_t column;
    double *value;
    const int32_t *place;
    const sl__factor_link *link;
} cursor;

/* Keeps 1/pivot of column k; 0 for a pivot of 0. */
static double invert_pivot(sl__factor *f, int32_t k, double pivot)
{
    if (pivot > 0.0) {
        return f->inverse_pivot[k] = 1.0 / pivot;
    }
    f->dead_row[f->dead_rows++] = f->row_of[k];
    return f->inverse_pivot[k] = 0.0;
}

/* A block of one column with few rows below. Most are, away from the root: on a network like a tree
   this is all the work. */
static void eliminate_column(sl__factor *f, const sl__factor_block *b, cursor *at)
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
    double q = invert_pivot(f, at->column, even + odd);
    double *value = f->value;
    const int32_t *place = at->place;
    for (; below > 1; below--, g++) {
        double weight = g[0] * q;
        for (i = 1; i < below; i++) {
            value[*place++] += weight * g[i];
        }
    }
    at->place = place;
}

/* Eliminates the columns of a block within the block. */
static void eliminate_within(sl__factor *f, const sl__factor_block *b, const cursor *at)
{
    int32_t height = b->width + b->below;
    const double *q = f->inverse_pivot + at->column;
    double weight[SL__WIDEST_BLOCK];
    for (int32_t c = 0; c < b->width; c++) {
        double *column = at->value + (int64_t)c * height;
        for (int32_t k = 0; k < c; k++) {
            weight[k] = at->value[(int64_t)k * height + c] * q[k];
        }
        add_columns(height - c - 1, c, weight, at->value + c + 1, height, column + c + 1);
        invert_pivot(f, at->column + c, sum_of(height - c - 1, column + c + 1));
    }
}

/* Adds to a column of another block what this block leaves between its row `a` below, which that
   column is, and the rows after it. `place` is where row a and those after it are in the column. */
static void send_column(sl__factor *f, const sl__factor_block *b, const cursor *at, int32_t a,
                        const int32_t *place, double *to)
{
    int32_t height = b->width + b->below, after = b->below - a - 1;
    const double *value = at->value + b->width + a, *q = f->inverse_pivot + at->column;
    double weight[SL__WIDEST_BLOCK];
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
        add_columns(after, b->width, weight, value + 1, height, to + place[1]);
        return;
    }
    memset(f->sum, 0, (size_t)after * sizeof *f->sum);
    add_columns(after, b->width, weight, value + 1, height, f->sum);
    for (int32_t i = 0; i < after; i++) {
        to[place[i + 1]] += f->sum[i];
    }
}

static void eliminate_block(sl__factor *f, const sl__factor_block *b, cursor *at)
{
    eliminate_within(f, b, at);
    const int32_t *place = at->place;
    int32_t a = 0;
    for (const sl__factor_link *link = at->link, *end = link + b->links; link < end; link++) {
        double *target = f->value + link->value_at;
        for (; a < link->end; a++, place++) {
            send_column(f, b, at, a, place, target + place[0] * (int64_t)link->height);
        }
        place += b->below - link->end;
    }
    at->place = place;
    at->link += b->links;
}

int32_t sl__factor_update(sl__factor *f, const double *g)
{
    memset(f->value, 0, (size_t)f->values * sizeof *f->value);
    for (int32_t e = 0; e < f->branches; e++) {
        if (f->branch_at[e] >= 0) {
            f->value[f->branch_at[e]] += g[e];
        }
    }
    f->dead_rows = 0;
    cursor at = {0, f->value, f->place, f->link};
    for (const sl__factor_block *b = f->block, *end = b + f->blocks; b < end; b++) {
        if (b->width == 1 && b->below < SL__FEWEST_LINKED) {
            eliminate_column(f, b, &at);
        } else {
            eliminate_block(f, b, &at);
        }
        at.column += b->width;
        at.value += b->width * (int64_t)(b->width + b->below);
    }
    return f->dead_rows;
}

const int32_t *sl__factor_dead_rows(const sl__factor *f)
{
    return f->dead_row;
}

int64_t sl__factor_fill(const sl__factor *f)
{
    return f->fill;
}

/* z = D^-1 L^-1 y, in place. Currents into the reference are nobody's concern: `below` is one row
   short of the block's. */
static void solve_down(sl__factor *f, double *y)
{
    const double *g = f->value, *q = f->inverse_pivot;
    const int32_t *row = f->below_row;
    double *z = y;
    for (const sl__factor_block *b = f->block, *end = b + f->blocks; b < end; b++) {
        int32_t width = b->width, below = b->below - 1, height = width + b->below;
        if (width == 1) {
            double z0 = *z++ *= *q++;
            for (int32_t i = 0; i < below; i++) {
                y[row[i]] += g[i + 1] * z0;
            }
            g += height;
            row += b->below;
            continue;
        }
        memset(f->sum, 0, (size_t)below * sizeof *f->sum);
        for (int32_t c = 0; c < width; c++) {
            const double *column = g + (int64_t)c * height;
            z[c] *= q[c];
            for (int32_t i = c + 1; i < width; i++) {
                z[i] += column[i] * z[c];
            }
        }
        add_columns(below, width, z, g + width, height, f->sum);
        for (int32_t i = 0; i < below; i++) {
            y[row[i]] += f->sum[i];
        }
        z += width;
        q += width;
        g += (int64_t)width * height;
        row += b->below;
    }
}

/* x = L'^-1 z, in place. */
static void solve_up(sl__factor *f, double *x)
{
    const double *g = f->value + f->values, *q = f->inverse_pivot + f->rows;
    const int32_t *row = f->below_row + f->below_rows;
    double *z = x + f->rows;
    for (const sl__factor_block *b = f->block + f->blocks; b-- > f->block;) {
        int32_t width = b->width, below = b->below - 1, height = width + b->below;
        row -= b->below;
        z -= width;
        q -= width;
        if (width == 1) {
            double sum = 0.0;
            g -= height;
            for (int32_t i = 0; i < below; i++) {
                sum += g[i + 1] * x[row[i]];
            }
            z[0] += q[0] * sum;
            continue;
        }
        for (int32_t i = 0; i < below; i++) {
            f->sum[i] = x[row[i]];
        }
        for (int32_t c = width - 1; c >= 0; c--) {
            g -= height;
            z[c] += q[c] * (product_sum(width - c - 1, g + c + 1, z + c + 1) +
                            product_sum(below, g + width, f->sum));
        }
    }
}

void sl__factor_solve(sl__factor *f, const double *b, double *x)
{
    for (int32_t k = 0; k < f->rows; k++) {
        f->work[k] = b[f->row_of[k]];
    }
    solve_down(f, f->work);
    solve_up(f, f->work);
    for (int32_t k = 0; k < f->rows; k++) {
        x[f->row_of[k]] = f->work[k];
    }
}
