/* lib/numeric/effective_climb.h: the ways of SL__ABREAST pairs up the elimination tree at once. A
   file that includes this has defined these, which are gone afterwards:

       FUNCTION    what stands before every function, as `static`
       NAME(x)     the name of x
       VECTOR      the vectors of this processor
       PARTS       how many of them SL__ABREAST doubles take

   In every pair the additions are those of sl__effective_between, in its order; elsewhere zeros are
   added, which change nothing. As many pairs as are taken at once keep the processor from waiting
   for its own results. */

typedef struct NAME(row) {
    VECTOR part[PARTS];
} NAME(row);

#define EACH_PART for (int32_t h = 0; h < PARTS; h++)

/* Adds to four rows of a block what `columns` columns before them have for them. */
FUNCTION void NAME(add_four)(const double *g, int32_t height, int32_t columns, const NAME(row) * z,
                             NAME(row) *const y[4])
{
    NAME(row) s0 = *y[0], s1 = *y[1], s2 = *y[2], s3 = *y[3];
    for (int32_t c = 0; c < columns; c++, g += height) {
        EACH_PART
        {
            const VECTOR zc = z[c].part[h];
            s0.part[h] += g[0] * zc;
            s1.part[h] += g[1] * zc;
            s2.part[h] += g[2] * zc;
            s3.part[h] += g[3] * zc;
        }
    }
    *y[0] = s0;
    *y[1] = s1;
    *y[2] = s2;
    *y[3] = s3;
}

FUNCTION void NAME(add_one)(const double *g, int32_t height, int32_t columns, const NAME(row) * z,
                            NAME(row) * y)
{
    NAME(row) sum = *y;
    for (int32_t c = 0; c < columns; c++, g += height) {
        EACH_PART
        {
            sum.part[h] += g[0] * z[c].part[h];
        }
    }
    *y = sum;
}

/* Through the columns of a block: z as they are eliminated, and their squares. */
FUNCTION void NAME(climb_within)(const double *g, const double *q, int32_t width, int32_t height,
                                 NAME(row) * y, NAME(row) * z, NAME(row) * sum)
{
    NAME(row) all = *sum;
    for (int32_t first = 0; first < width; first += 4) {
        const int32_t end = first + 4 < width ? first + 4 : width;
        if (end - first == 4) {
            NAME(add_four)
            (g + first, height, first, z,
             (NAME(row) *const[4]){y + first, y + first + 1, y + first + 2, y + first + 3});
        } else {
            for (int32_t i = first; i < end; i++) {
                NAME(add_one)(g + i, height, first, z, y + i);
            }
        }
        for (int32_t c = first; c < end; c++) {
            const double *column = g + (ptrdiff_t)c * height;
            EACH_PART
            {
                const VECTOR yc = y[c].part[h], zc = yc * q[c];
                all.part[h] += yc * zc;
                z[c].part[h] = zc;
                for (int32_t i = c + 1; i < end; i++) {
                    y[i].part[h] += column[i] * zc;
                }
            }
            y[c] = (NAME(row)){0};
        }
    }
    *sum = all;
}

FUNCTION void NAME(climb)(const sl__effective *e, int32_t s, NAME(row) * sum)
{
    const sl__factor *f = e->f;
    const sl__block_start *at = &e->at[s];
    const int32_t width = f->block[s].width, below = f->block[s].below - 1;
    const int32_t height = width + below + 1, *row = f->below_row + at->below;
    const double *g = f->value + at->value;
    NAME(row) *y = (void *)e->abreast, *z = y + f->rows + 1;
    NAME(climb_within)(g, f->inverse_pivot + at->column, width, height, y + at->column, z, sum);
    int32_t i = 0;
    for (g += width; i + 4 <= below; i += 4, g += 4, row += 4) {
        NAME(add_four)
        (g, height, width, z,
         (NAME(row) *const[4]){y + row[0], y + row[1], y + row[2], y + row[3]});
    }
    for (; i < below; i++, g++, row++) {
        NAME(add_one)(g, height, width, z, y + row[0]);
    }
}

/* Through the blocks that are marked, in their order; none is marked afterwards. What is here for a
   block of one column keeps the sum in registers. */
FUNCTION void NAME(climb_marked)(sl__effective *e, double *ohm)
{
    const sl__factor *f = e->f;
    const int32_t words = f->blocks / 64 + 1;
    NAME(row) *y = (void *)e->abreast, sum = {0};
    for (int32_t w = 0; w < words; w++) {
        for (uint64_t left = e->marks[w]; left != 0; left &= left - 1) {
            const int32_t s = 64 * w + __builtin_ctzll(left), below = f->block[s].below - 1;
            if (f->block[s].width > 1) {
                NAME(row) more = sum;
                NAME(climb)(e, s, &more);
                sum = more;
                continue;
            }
            const sl__block_start at = e->at[s];
            const double *g = f->value + at.value + 1, q = f->inverse_pivot[at.column];
            const int32_t *row = f->below_row + at.below;
            NAME(row) z;
            EACH_PART
            {
                const VECTOR y0 = y[at.column].part[h];
                z.part[h] = y0 * q;
                sum.part[h] += y0 * z.part[h];
            }
            for (int32_t i = 0; i < below; i++) {
                EACH_PART
                {
                    y[row[i]].part[h] += g[i] * z.part[h];
                }
            }
            y[at.column] = (NAME(row)){0};
        }
        e->marks[w] = 0;
    }
    *(NAME(row) *)(void *)ohm = sum;
}

#undef EACH_PART
#undef FUNCTION
#undef NAME
#undef VECTOR
#undef PARTS
