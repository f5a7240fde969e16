/* lib/numeric/factor_along_kernel.h: the arithmetic of factor_along.c, for each width of vector
   (each_width.h): +, * and / of numbers that are never negative, in the order of
   factor_eliminate.h. */
#define VEC LANES_NAME(vec)
#define MASK LANES_NAME(mask)
typedef double VEC __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));
typedef int64_t MASK __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));

/* Vector h of the lanes of entry k of an array of lanes. The room is used by one vector of lanes
   after another: what belongs to one lies close together. */
#define AT(array, k) (((VEC *)(void *)((array) + (ptrdiff_t)(k)*SL__LANES))[h])
#define AT_CONST(array, k) (((const VEC *)(const void *)((array) + (ptrdiff_t)(k)*SL__LANES))[h])
#define FUNCTION(kind) LANES_TARGET static kind LANES_NAME

/* to[i] += sum of weight[c] * column c, row i: four columns at a time, so that the sum stays in a
   register for as many steps. */
FUNCTION(void)
(add_columns)(int32_t rows, int32_t columns, const VEC *weight, const VEC *from, int32_t stride,
              VEC *to)
{
    int32_t c = 0;
    for (; c + 4 <= columns; c += 4, from += 4 * (ptrdiff_t)stride) {
        const VEC *f1 = from + stride, *f2 = f1 + stride, *f3 = f2 + stride;
        const VEC w0 = weight[c], w1 = weight[c + 1], w2 = weight[c + 2], w3 = weight[c + 3];
        for (int32_t i = 0; i < rows; i++) {
            to[i] += (w0 * from[i] + w1 * f1[i]) + (w2 * f2[i] + w3 * f3[i]);
        }
    }
    for (; c < columns; c++, from += stride) {
        const VEC w = weight[c];
        for (int32_t i = 0; i < rows; i++) {
            to[i] += w * from[i];
        }
    }
}

/* 1/pivot into the place of the pivot; 0 for a pivot of 0, which is counted. */
FUNCTION(inline VEC)(invert)(VEC pivot, VEC *at, VEC *dead)
{
    const VEC none = {0};
    const MASK is = pivot > none;
    const VEC q = (VEC)((MASK)(1.0 / pivot) & is);
    *at = q;
    *dead += (VEC)((MASK)(none + 1.0) & ~is);
    return q;
}

/* A block of one column with few rows below. Most are, away from the root. */
FUNCTION(void)
(column)(const sl__along_block *b, VEC *value, VEC *room, const int32_t *place)
{
    const int32_t below = b->below;
    VEC even = value[1], odd = {0};
    int32_t i = 2;
    for (; i + 1 <= below; i += 2) {
        odd += value[i];
        even += value[i + 1];
    }
    if (i <= below) {
        odd += value[i];
    }
    const VEC q = LANES_NAME(invert)(even + odd, value, room);
    for (int32_t a = 1; a < below; a++) {
        const VEC weight = value[a] * q;
        for (i = a + 1; i <= below; i++) {
            room[*place] += weight * value[i];
            place++;
        }
    }
}

/* The columns of a panel: they are eliminated together, so that what they add to is fetched and put
   back once for all of them. */
#define PANEL_COLUMNS(from, stride)                                                                \
    const VEC *const f0 = (from), *const f1 = f0 + (stride), *const f2 = f1 + (stride),            \
                     *const f3 = f2 + (stride)
#define PANEL_SUM(w, i) ((w)[0] * f0[i] + (w)[1] * f1[i]) + ((w)[2] * f2[i] + (w)[3] * f3[i])

/* Adds a panel of four to a column, whose entries are at[rows], or, with NULL, side by side. */
FUNCTION(inline void)
(add_panel)(int32_t rows, const VEC *w, const VEC *from, ptrdiff_t stride, VEC *to,
            const int32_t *at)
{
    PANEL_COLUMNS(from, stride);
    if (at) {
        for (int32_t i = 0; i < rows; i++) {
            to[at[i]] += PANEL_SUM(w, i);
        }
        return;
    }
    for (int32_t i = 0; i < rows; i++) {
        to[i] += PANEL_SUM(w, i);
    }
}

/* The same to two columns at once, with entries side by side. */
FUNCTION(inline void)
(add_panel_twice)(int32_t rows, const VEC *w, const VEC *v, const VEC *from, ptrdiff_t stride,
                  VEC *to, VEC *and_to)
{
    PANEL_COLUMNS(from, stride);
    for (int32_t i = 0; i < rows; i++) {
        const VEC a0 = f0[i], a1 = f1[i], a2 = f2[i], a3 = f3[i];
        to[i] += (w[0] * a0 + w[1] * a1) + (w[2] * a2 + w[3] * a3);
        and_to[i] += (v[0] * a0 + v[1] * a1) + (v[2] * a2 + v[3] * a3);
    }
}

/* The same of fewer columns than four, to one. */
#define ADD(entry, sum)                                                                            \
    for (int32_t i = 0; i < rows; i++) {                                                           \
        to[entry] += sum;                                                                          \
    }
#define ADD_FEW(entry)                                                                             \
    switch (columns) {                                                                             \
    case 1:                                                                                        \
        ADD(entry, w[0] * f0[i]);                                                                  \
        break;                                                                                     \
    case 2:                                                                                        \
        ADD(entry, w[0] * f0[i] + w[1] * f1[i]);                                                   \
        break;                                                                                     \
    default:                                                                                       \
        ADD(entry, (w[0] * f0[i] + w[1] * f1[i]) + w[2] * f2[i]);                                  \
    }
FUNCTION(inline void)
(add_few)(int32_t rows, int32_t columns, const VEC *w, const VEC *from, ptrdiff_t stride, VEC *to,
          const int32_t *at)
{
    const VEC *const f0 = from, *const f1 = f0 + stride, *const f2 = f1 + stride;
    if (at) {
        ADD_FEW(at[i]);
    } else {
        ADD_FEW(i);
    }
}

/* What the columns of a panel count with in the column of one of its rows. */
FUNCTION(inline void)
(weigh)(int32_t columns, const VEC *panel, int32_t height, int32_t row, VEC *w)
{
    for (int32_t k = 0; k < columns; k++) {
        w[k] = panel[k * height + row] * panel[k * height + k];
    }
}

/* Eliminates a panel within itself; `rows` are below its first pivot, at which it begins. */
FUNCTION(void)
(eliminate_panel)(int32_t columns, int32_t rows, int32_t height, VEC *panel, VEC *dead)
{
    for (int32_t c = 0; c < columns; c++) {
        VEC *column = panel + (ptrdiff_t)c * height;
        for (int32_t k = 0; k < c; k++) {
            const VEC *from = panel + (ptrdiff_t)k * height;
            const VEC w = from[c] * from[k];
            for (int32_t i = c + 1; i <= rows; i++) {
                column[i] += w * from[i];
            }
        }
        VEC sum[4] = {{0}, {0}, {0}, {0}}; /* so that one addition does not wait for another */
        int32_t i = c + 1;
        for (; i + 3 <= rows; i += 4) {
            sum[0] += column[i];
            sum[1] += column[i + 1];
            sum[2] += column[i + 2];
            sum[3] += column[i + 3];
        }
        for (; i <= rows; i++) {
            sum[0] += column[i];
        }
        LANES_NAME(invert)((sum[0] + sum[1]) + (sum[2] + sum[3]), column + c, dead);
    }
}

/* Adds a panel to the `left` columns of its block that come after it. */
FUNCTION(void)
(add_within)(int32_t columns, int32_t left, int32_t rows, int32_t height, VEC *panel)
{
    const ptrdiff_t stride = (ptrdiff_t)height;
    const int32_t end = columns + left;
    VEC w[4], v[4];
    int32_t row = columns;
    for (; columns == 4 && row + 1 < end; row += 2) {
        const VEC *from = panel + row + 1;
        VEC *to = panel + row * stride + row + 1;
        LANES_NAME(weigh)(4, panel, height, row, w);
        LANES_NAME(weigh)(4, panel, height, row + 1, v);
        LANES_NAME(add_panel)(1, w, from, stride, to, NULL);
        LANES_NAME(add_panel_twice)
        (rows - row - 1, w, v, from + 1, stride, to + 1, to + stride + 1);
    }
    for (; row < end; row++) {
        const VEC *from = panel + row + 1;
        VEC *to = panel + row * stride + row + 1;
        LANES_NAME(weigh)(columns, panel, height, row, w);
        if (columns == 4) {
            LANES_NAME(add_panel)(rows - row, w, from, stride, to, NULL);
        } else {
            LANES_NAME(add_few)(rows - row, columns, w, from, stride, to, NULL);
        }
    }
}

/* Adds a panel to columns of other blocks: what it leaves between each row below its block, which
   such a column is, and the rows after it. `first` is the first of them, from the first pivot. */
FUNCTION(void)
(send)(const sl__along_block *b, int32_t columns, int32_t first, const VEC *panel, VEC *room,
       const sl__factor_link *link, const int32_t *place)
{
    const int32_t height = b->width + b->below;
    const ptrdiff_t stride = (ptrdiff_t)height;
    int32_t a = 0;
    for (const sl__factor_link *end = link + b->links; link < end; link++) {
        for (; a < link->end; a++, place++) {
            const int32_t after = b->below - a - 1, row = first + a;
            const bool side_by_side = place[after] - place[0] == after; /* as in the full root */
            const VEC *from = panel + row + 1;
            VEC *to = room + (link->value_at + (ptrdiff_t)place[0] * link->height);
            const int32_t *at = side_by_side ? NULL : place + 1;
            to += side_by_side ? place[1] : 0;
            VEC w[4];
            LANES_NAME(weigh)(columns, panel, height, row, w);
            if (columns == 4) {
                LANES_NAME(add_panel)(after, w, from, stride, to, at);
            } else {
                LANES_NAME(add_few)(after, columns, w, from, stride, to, at);
            }
        }
        place += b->below - link->end;
    }
}

FUNCTION(void)
(block)(const sl__along_block *b, VEC *value, VEC *room, const sl__factor_link *link,
        const int32_t *place)
{
    const int32_t height = b->width + b->below;
    for (int32_t c = 0; c < b->width; c += 4) {
        const int32_t left = b->width - c, columns = left < 4 ? left : 4, rows = height - c - 1;
        VEC *panel = value + ((ptrdiff_t)c * height + c);
        LANES_NAME(eliminate_panel)(columns, rows, height, panel, room);
        LANES_NAME(add_within)(columns, left - columns, rows, height, panel);
        LANES_NAME(send)(b, columns, left, panel, room, link, place);
    }
}

/* What comes in goes on to the rows below: z = D^-1 L^-1 y. Currents into the reference are
   nobody's concern. */
FUNCTION(void)
(down)(const sl__along_block *b, const VEC *value, const int32_t *row, double *y, VEC *sum, int h)
{
    const int32_t width = b->width, below = b->below - 1, height = width + b->below;
    double *z = y + (ptrdiff_t)b->column * SL__LANES;
    if (width == 1) {
        const VEC z0 = AT(z, 0) * value[0];
        AT(z, 0) = z0;
        for (int32_t i = 0; i < below; i++) {
            AT(y, row[i]) += value[i + 1] * z0;
        }
        return;
    }
    VEC weight[SL__WIDEST_BLOCK];
    for (int32_t c = 0; c < width; c++) {
        const VEC *column = value + (ptrdiff_t)c * height;
        weight[c] = AT(z, c) * column[c];
        AT(z, c) = weight[c];
        for (int32_t i = c + 1; i < width; i++) {
            AT(z, i) += column[i] * weight[c];
        }
    }
    for (int32_t i = 0; i < below; i++) {
        sum[i] = (VEC){0};
    }
    LANES_NAME(add_columns)
    (below, width, weight, value + width, height, sum);
    for (int32_t i = 0; i < below; i++) {
        AT(y, row[i]) += sum[i];
    }
}

/* x = L'^-1 z. */
FUNCTION(void)
(up)(const sl__along_block *b, const VEC *value, const int32_t *row, double *x, int h)
{
    const int32_t width = b->width, below = b->below - 1, height = width + b->below;
    double *z = x + (ptrdiff_t)b->column * SL__LANES;
    for (int32_t c = width - 1; c >= 0; c--) {
        const VEC *column = value + (ptrdiff_t)c * height;
        VEC even = {0}, odd = {0};
        for (int32_t i = c + 1; i < width; i++) {
            even += column[i] * AT(z, i);
        }
        const VEC *beyond = column + width;
        int32_t i = 0;
        for (; i + 1 < below; i += 2) {
            odd += beyond[i] * AT(x, row[i]);
            even += beyond[i + 1] * AT(x, row[i + 1]);
        }
        if (i < below) {
            odd += beyond[i] * AT(x, row[i]);
        }
        AT(z, c) += column[c] * (even + odd);
    }
}

FUNCTION(void)(solve_up)(const sl__along *p, const VEC *room, double *y, int h)
{
    for (const sl__along_block *b = p->block + p->blocks; b-- > p->block;) {
        if (b->ways & SL__WAY_OUT) {
            LANES_NAME(up)(b, room + b->value, p->row + b->row, y, h);
        }
    }
}

FUNCTION(void)(factor_part)(const sl__along *p, VEC *room, const double *g, double *y, int h)
{
    const int32_t *born = p->born, *branch = p->branch, *at = p->branch_at, *place = p->place;
    const sl__factor_link *link = p->link;
    room[0] = (VEC){0};
    for (const sl__along_block *b = p->block, *end = b + p->blocks; b < end; b++) {
        VEC *value = room + b->value;
        for (int32_t n = 0; n < b->born; n++, born += 2) {
            for (VEC *v = room + born[0], *after = v + born[1]; v < after; v++) {
                *v = (VEC){0};
            }
        }
        for (int32_t n = 0; n < b->branches; n++) {
            value[at[n]] += AT_CONST(g, branch[n]);
        }
        if (b->links == 0 && b->width == 1) {
            LANES_NAME(column)(b, value, room, place);
        } else {
            LANES_NAME(block)(b, value, room, link, place);
        }
        if (b->ways & SL__WAY_IN) {
            LANES_NAME(down)(b, value, p->row + b->row, y, room + 1, h);
        }
        branch += b->branches;
        at += b->branches;
        place += b->places;
        link += b->links;
    }
    LANES_NAME(solve_up)(p, room, y, h);
}

FUNCTION(void)(factor)(const sl__along *p, double *room, const double *g, double *y, int32_t *dead)
{
    for (int h = 0; h < SL__LANES / LANES_WIDE; h++) {
        VEC *part = (VEC *)(void *)room + (ptrdiff_t)h * p->room;
        LANES_NAME(factor_part)(p, part, g, y, h);
        for (int l = 0; l < LANES_WIDE; l++) {
            dead[h * LANES_WIDE + l] = (int32_t)part[0][l];
        }
    }
}

FUNCTION(void)(solve)(const sl__along *p, double *room, double *y)
{
    for (int h = 0; h < SL__LANES / LANES_WIDE; h++) {
        VEC *part = (VEC *)(void *)room + (ptrdiff_t)h * p->room;
        for (const sl__along_block *b = p->block, *end = b + p->blocks; b < end; b++) {
            if (b->ways & SL__WAY_IN) {
                LANES_NAME(down)(b, part + b->value, p->row + b->row, y, part + 1, h);
            }
        }
        LANES_NAME(solve_up)(p, part, y, h);
    }
}

#undef VEC
#undef MASK
#undef AT
#undef AT_CONST
#undef FUNCTION
#undef PANEL_COLUMNS
#undef PANEL_SUM
#undef ADD
#undef ADD_FEW
