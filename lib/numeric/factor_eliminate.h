/* lib/numeric/factor_eliminate.h: a factor from conductances, written once for one network and for
   several side by side: +, * and / of numbers that are never negative. What factor_solve.h asks for
   is kept from there, KEEP having been defined and VALUE and REAL being the same.

   A = L D L' with D the pivots and L = I - (conductances left below) / pivot. Only the conductances
   left are stored; with q = 1/pivot, eliminating column k does to every pair of its rows a < b

       g_ab += (g_ak q_k) g_bk

   which is a star turned into its polygon, the reference being one of the points. */

/* Keeps 1/pivot of column k, 0 for a pivot of 0; the including file has it. */
FUNCTION void NAME(invert)(int32_t k, const REAL *pivot, NAME(figures) * n);

/* How far the elimination has come: what is next to read of all that lies in the order of the
   blocks. */
typedef struct NAME(cursor) {
    int32_t column;
    REAL *value;
    const int32_t *place;
    const sl__factor_link *link;
} NAME(cursor);

FUNCTION void NAME(sum_of)(int32_t count, const REAL *v, REAL *sum)
{
    REAL s0 = {0.0}, s1 = {0.0}, s2 = {0.0}, s3 = {0.0};
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
    *sum = (s0 + s1) + (s2 + s3);
}

/* A block of one column with few rows below. Most are, away from the root: on a network like a tree
   this is all the work. */
FUNCTION void NAME(eliminate_column)(NAME(figures) * n, const sl__factor_block *b,
                                     NAME(cursor) * at)
{
    const REAL *g = at->value + 1;
    REAL even = g[0], odd = {0.0};
    int32_t i = 1, below = b->below;
    for (; i + 1 < below; i += 2) {
        odd += g[i];
        even += g[i + 1];
    }
    if (i < below) {
        odd += g[i];
    }
    even += odd;
    NAME(invert)(at->column, &even, n);
    const REAL q = n->inverse_pivot[at->column];
    REAL *value = n->value;
    const int32_t *place = at->place;
    for (; below > 1; below--, g++) {
        const REAL weight = g[0] * q;
        for (i = 1; i < below; i++) {
            value[*place++] += weight * g[i];
        }
    }
    at->place = place;
}

/* Eliminates the columns of a block within the block. */
FUNCTION void NAME(eliminate_within)(NAME(figures) * n, const sl__factor_block *b,
                                     const NAME(cursor) * at)
{
    int32_t height = b->width + b->below;
    const REAL *q = n->inverse_pivot + at->column;
    REAL weight[SL__WIDEST_BLOCK], pivot;
    weight[0] = (REAL){0.0}; /* the first column has none before it */
    for (int32_t c = 0; c < b->width; c++) {
        REAL *column = at->value + (int64_t)c * height;
        for (int32_t k = 0; k < c; k++) {
            weight[k] = at->value[(int64_t)k * height + c] * q[k];
        }
        NAME(add_columns)(height - c - 1, c, weight, at->value + c + 1, height, column + c + 1);
        NAME(sum_of)(height - c - 1, column + c + 1, &pivot);
        NAME(invert)(at->column + c, &pivot, n);
    }
}

/* Adds to a column of another block what this block leaves between its row `a` below, which that
   column is, and the rows after it. `place` is where row a and those after it are in the column. */
FUNCTION void NAME(send_column)(NAME(figures) * n, const sl__factor_block *b,
                                const NAME(cursor) * at, int32_t a, const int32_t *place, REAL *to)
{
    int32_t height = b->width + b->below, after = b->below - a - 1;
    const REAL *value = at->value + b->width + a, *q = n->inverse_pivot + at->column;
    REAL weight[SL__WIDEST_BLOCK];
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
    memset(n->sum, 0, (size_t)after * sizeof *n->sum);
    NAME(add_columns)(after, b->width, weight, value + 1, height, n->sum);
    for (int32_t i = 0; i < after; i++) {
        to[place[i + 1]] += n->sum[i];
    }
}

FUNCTION void NAME(eliminate_block)(NAME(figures) * n, const sl__factor_block *b, NAME(cursor) * at)
{
    NAME(eliminate_within)(n, b, at);
    const int32_t *place = at->place;
    int32_t a = 0;
    for (const sl__factor_link *link = at->link, *end = link + b->links; link < end; link++) {
        REAL *target = n->value + link->value_at;
        for (; a < link->end; a++, place++) {
            NAME(send_column)(n, b, at, a, place, target + place[0] * (int64_t)link->height);
        }
        place += b->below - link->end;
    }
    at->place = place;
    at->link += b->links;
}

FUNCTION void NAME(eliminate)(NAME(figures) * n, const REAL *g)
{
    const sl__factor *f = n->f;
    memset(n->value, 0, (size_t)f->values * sizeof *n->value);
    for (int32_t e = 0; e < f->branches; e++) {
        if (f->branch_at[e] >= 0) {
            n->value[f->branch_at[e]] += g[e];
        }
    }
    NAME(cursor) at = {0, n->value, f->place, f->link};
    for (const sl__factor_block *b = f->block, *end = b + f->blocks; b < end; b++) {
        if (b->width == 1 && b->below < SL__FEWEST_LINKED) {
            NAME(eliminate_column)(n, b, &at);
        } else {
            NAME(eliminate_block)(n, b, &at);
        }
        at.column += b->width;
        at.value += b->width * (int64_t)(b->width + b->below);
    }
}

#undef VALUE
#undef REAL
#undef FUNCTION
#undef NAME
