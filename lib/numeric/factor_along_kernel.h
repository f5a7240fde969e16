/* lib/numeric/factor_along_kernel.h: the arithmetic of factor_along.c, written once for every width
   of vector: +, * and / of numbers that are never negative, in the order of factor_eliminate.h.
   factor_along.c includes this with

       LANES_NAME(x)  the name of x in this width
       LANES_TARGET   what the compiler may use
       LANES_WIDE     doubles in a vector

   Lanes are never mixed, and there is no fused multiplication: every width gives the same digits.
 */
#define VEC LANES_NAME(vec)
#define MASK LANES_NAME(mask)
typedef double VEC __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));
typedef int64_t MASK __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));

/* Vector h of the lanes of entry k. */
#define AT(array, k) (((VEC *)(void *)((array) + (ptrdiff_t)(k)*SL__LANES))[h])
#define FUNCTION(kind) LANES_TARGET static kind LANES_NAME

/* to[i] += sum of weight[c] * column c, row i: four columns at a time, so that the sum stays in a
   register for as many steps. */
FUNCTION(void)
(add_columns)(int32_t rows, int32_t columns, const VEC *weight, const double *from, int32_t stride,
              double *to, int h)
{
    int32_t c = 0;
    for (; c + 4 <= columns; c += 4, from += 4 * (ptrdiff_t)stride * SL__LANES) {
        const double *f1 = from + (ptrdiff_t)stride * SL__LANES;
        const double *f2 = f1 + (ptrdiff_t)stride * SL__LANES;
        const double *f3 = f2 + (ptrdiff_t)stride * SL__LANES;
        const VEC w0 = weight[c], w1 = weight[c + 1], w2 = weight[c + 2], w3 = weight[c + 3];
        for (int32_t i = 0; i < rows; i++) {
            AT(to, i) += (w0 * AT(from, i) + w1 * AT(f1, i)) + (w2 * AT(f2, i) + w3 * AT(f3, i));
        }
    }
    for (; c < columns; c++, from += (ptrdiff_t)stride * SL__LANES) {
        const VEC w = weight[c];
        for (int32_t i = 0; i < rows; i++) {
            AT(to, i) += w * AT(from, i);
        }
    }
}

/* 1/pivot into the place of the pivot; 0 for a pivot of 0, which is counted. */
FUNCTION(inline VEC)(invert)(VEC pivot, double *at, double *dead, int h)
{
    const VEC none = {0};
    const MASK is = pivot > none;
    const VEC q = (VEC)((MASK)(1.0 / pivot) & is);
    AT(at, 0) = q;
    AT(dead, 0) += (VEC)((MASK)(none + 1.0) & ~is);
    return q;
}

/* A block of one column with few rows below. Most are, away from the root. */
FUNCTION(void)
(column)(const sl__along_block *b, double *value, double *room, const int32_t *place, int h)
{
    const int32_t below = b->below;
    VEC even = AT(value, 1), odd = {0};
    int32_t i = 2;
    for (; i + 1 <= below; i += 2) {
        odd += AT(value, i);
        even += AT(value, i + 1);
    }
    if (i <= below) {
        odd += AT(value, i);
    }
    const VEC q = LANES_NAME(invert)(even + odd, value, room, h);
    for (int32_t a = 1; a < below; a++) {
        const VEC weight = AT(value, a) * q;
        for (i = a + 1; i <= below; i++) {
            AT(room, *place) += weight * AT(value, i);
            place++;
        }
    }
}

/* Eliminates the columns of a block within the block. */
FUNCTION(void)(within)(const sl__along_block *b, double *value, double *room, int h)
{
    const int32_t height = b->width + b->below;
    VEC weight[SL__WIDEST_BLOCK];
    weight[0] = (VEC){0}; /* the first column has none before it */
    for (int32_t c = 0; c < b->width; c++) {
        double *column = value + (ptrdiff_t)c * height * SL__LANES;
        for (int32_t k = 0; k < c; k++) {
            const ptrdiff_t at = (ptrdiff_t)k * height;
            weight[k] = AT(value, at + c) * AT(value, at + k);
        }
        LANES_NAME(add_columns)
        (height - c - 1, c, weight, value + (ptrdiff_t)(c + 1) * SL__LANES, height,
         column + (ptrdiff_t)(c + 1) * SL__LANES, h);
        VEC even = {0}, odd = {0};
        int32_t i = c + 1;
        for (; i + 1 < height; i += 2) {
            even += AT(column, i);
            odd += AT(column, i + 1);
        }
        if (i < height) {
            even += AT(column, i);
        }
        LANES_NAME(invert)(even + odd, column + (ptrdiff_t)c * SL__LANES, room, h);
    }
}

/* Adds to a column of another block what this block leaves between its row `a` below, which that
   column is, and the rows after it. `place` is where row a and those after it are in the column. */
FUNCTION(void)
(send)(const sl__along_block *b, const double *value, double *sum, int32_t a, const int32_t *place,
       double *to, int h)
{
    const int32_t height = b->width + b->below, after = b->below - a - 1;
    const double *from = value + (ptrdiff_t)(b->width + a) * SL__LANES;
    VEC weight[SL__WIDEST_BLOCK];
    for (int32_t k = 0; k < b->width; k++) {
        weight[k] = AT(from, k * height) * AT(value, k * height + k);
    }
    from += SL__LANES;
    if (b->width == 1) {
        for (int32_t i = 0; i < after; i++) {
            AT(to, place[i + 1]) += weight[0] * AT(from, i);
        }
        return;
    }
    if (place[after] - place[0] == after) { /* all next to each other, as in the full root */
        LANES_NAME(add_columns)
        (after, b->width, weight, from, height, to + (ptrdiff_t)place[1] * SL__LANES, h);
        return;
    }
    for (int32_t i = 0; i < after; i++) {
        AT(sum, i) = (VEC){0};
    }
    LANES_NAME(add_columns)(after, b->width, weight, from, height, sum, h);
    for (int32_t i = 0; i < after; i++) {
        AT(to, place[i + 1]) += AT(sum, i);
    }
}

FUNCTION(void)
(block)(const sl__along_block *b, double *value, double *room, double *sum,
        const sl__factor_link *link, const int32_t *place, int h)
{
    LANES_NAME(within)(b, value, room, h);
    int32_t a = 0;
    for (const sl__factor_link *end = link + b->links; link < end; link++) {
        for (; a < link->end; a++, place++) {
            const ptrdiff_t at = (ptrdiff_t)link->value_at + (ptrdiff_t)place[0] * link->height;
            LANES_NAME(send)(b, value, sum, a, place, room + at * SL__LANES, h);
        }
        place += b->below - link->end;
    }
}

/* What comes in goes on to the rows below: z = D^-1 L^-1 y. Currents into the reference are
   nobody's concern. */
FUNCTION(void)
(down)(const sl__along_block *b, const double *value, const int32_t *row, double *y, double *sum,
       int h)
{
    const int32_t width = b->width, below = b->below - 1, height = width + b->below;
    double *z = y + (ptrdiff_t)b->column * SL__LANES;
    if (width == 1) {
        const VEC z0 = AT(z, 0) * AT(value, 0);
        AT(z, 0) = z0;
        for (int32_t i = 0; i < below; i++) {
            AT(y, row[i]) += AT(value, i + 1) * z0;
        }
        return;
    }
    VEC weight[SL__WIDEST_BLOCK];
    for (int32_t c = 0; c < width; c++) {
        const double *column = value + (ptrdiff_t)c * height * SL__LANES;
        weight[c] = AT(z, c) * AT(column, c);
        AT(z, c) = weight[c];
        for (int32_t i = c + 1; i < width; i++) {
            AT(z, i) += AT(column, i) * weight[c];
        }
    }
    for (int32_t i = 0; i < below; i++) {
        AT(sum, i) = (VEC){0};
    }
    LANES_NAME(add_columns)
    (below, width, weight, value + (ptrdiff_t)width * SL__LANES, height, sum, h);
    for (int32_t i = 0; i < below; i++) {
        AT(y, row[i]) += AT(sum, i);
    }
}

/* x = L'^-1 z. */
FUNCTION(void)
(up)(const sl__along_block *b, const double *value, const int32_t *row, double *x, int h)
{
    const int32_t width = b->width, below = b->below - 1, height = width + b->below;
    double *z = x + (ptrdiff_t)b->column * SL__LANES;
    for (int32_t c = width - 1; c >= 0; c--) {
        const double *column = value + (ptrdiff_t)c * height * SL__LANES;
        VEC even = {0}, odd = {0};
        for (int32_t i = c + 1; i < width; i++) {
            even += AT(column, i) * AT(z, i);
        }
        const double *beyond = column + (ptrdiff_t)width * SL__LANES;
        int32_t i = 0;
        for (; i + 1 < below; i += 2) {
            odd += AT(beyond, i) * AT(x, row[i]);
            even += AT(beyond, i + 1) * AT(x, row[i + 1]);
        }
        if (i < below) {
            odd += AT(beyond, i) * AT(x, row[i]);
        }
        AT(z, c) += AT(column, c) * (even + odd);
    }
}

FUNCTION(void)(solve_up)(const sl__along *p, const double *room, double *y)
{
    for (const sl__along_block *b = p->block + p->blocks; b-- > p->block;) {
        if (b->ways & SL__WAY_OUT) {
            for (int h = 0; h < SL__LANES / LANES_WIDE; h++) {
                LANES_NAME(up)
                (b, room + (ptrdiff_t)b->value * SL__LANES, p->row + b->row, y, h);
            }
        }
    }
}

FUNCTION(void)(factor)(const sl__along *p, double *room, const double *g, double *y)
{
    double *sum = room + SL__LANES;
    const int32_t *born = p->born, *branch = p->branch, *at = p->branch_at, *place = p->place;
    const sl__factor_link *link = p->link;
    memset(room, 0, SL__LANES * sizeof *room);
    for (const sl__along_block *b = p->block, *end = b + p->blocks; b < end; b++) {
        double *value = room + (ptrdiff_t)b->value * SL__LANES;
        for (int32_t n = 0; n < b->born; n++, born += 2) {
            double *from = room + (ptrdiff_t)born[0] * SL__LANES;
            for (int32_t k = 0; k < born[1]; k++) {
                for (int h = 0; h < SL__LANES / LANES_WIDE; h++) {
                    AT(from, k) = (VEC){0};
                }
            }
        }
        for (int32_t n = 0; n < b->branches; n++) {
            for (int h = 0; h < SL__LANES / LANES_WIDE; h++) {
                AT(value, at[n]) += AT((double *)g, branch[n]);
            }
        }
        for (int h = 0; h < SL__LANES / LANES_WIDE; h++) {
            if (b->links == 0 && b->width == 1) {
                LANES_NAME(column)(b, value, room, place, h);
            } else {
                LANES_NAME(block)(b, value, room, sum, link, place, h);
            }
            if (b->ways & SL__WAY_IN) {
                LANES_NAME(down)(b, value, p->row + b->row, y, sum, h);
            }
        }
        branch += b->branches;
        at += b->branches;
        place += b->places;
        link += b->links;
    }
    LANES_NAME(solve_up)(p, room, y);
}

FUNCTION(void)(solve)(const sl__along *p, double *room, double *y)
{
    for (const sl__along_block *b = p->block, *end = b + p->blocks; b < end; b++) {
        if (b->ways & SL__WAY_IN) {
            for (int h = 0; h < SL__LANES / LANES_WIDE; h++) {
                LANES_NAME(down)
                (b, room + (ptrdiff_t)b->value * SL__LANES, p->row + b->row, y, room + SL__LANES,
                 h);
            }
        }
    }
    LANES_NAME(solve_up)(p, room, y);
}

#undef VEC
#undef MASK
#undef AT
#undef FUNCTION
#undef LANES_NAME
#undef LANES_TARGET
#undef LANES_WIDE
