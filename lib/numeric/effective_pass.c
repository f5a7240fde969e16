/* lib/numeric/effective_pass.c: from the root of every tree to its leaves: what lies between the
   rows of every entry of a factor, and what is at the entries of branches. */
#include <string.h>

#include "numeric/effective_internal.h"

#if defined(__GNUC__)
#define ALWAYS_INLINE inline __attribute__((always_inline))
#else
#define ALWAYS_INLINE inline
#endif

/* What a twig adds to the entries: their places lie one after another. */
static void fill_twig(sl__effective *e, int32_t s)
{
    const sl__factor *f = e->f;
    const double *g = f->value + e->at[s].value + 1, q = f->inverse_pivot[e->at[s].column];
    const int32_t *place = f->place + e->at[s].place;
    for (int32_t a = 0, below = f->block[s].below; a < below - 1; a++) {
        double weight = g[a] * q;
        for (int32_t b = a + 1; b < below; b++) {
            e->fill[*place++] += weight * g[b];
        }
    }
}

/* What a wider block adds to the entries of branches; nobody asks for the others. */
static void fill_block(sl__effective *e, int32_t s)
{
    const sl__factor *f = e->f;
    const int32_t height = sl__block_height(&f->block[s]), width = f->block[s].width;
    const double *value = f->value + e->at[s].value, *q = f->inverse_pivot + e->at[s].column;
    for (int32_t p = e->at[s].pairs, end = e->at[s + 1].pairs; p < end; p++) {
        const sl__pair_below *of = &e->pair[p];
        const double *g = value;
        double sum = 0.0;
        for (int32_t c = 0, most = of->i < width ? of->i : width; c < most; c++, g += height) {
            sum += (g[of->i] * q[c]) * g[of->j];
        }
        e->fill[of->entry] += sum;
    }
}

/* The same additions as when it was done, apart from what the branches themselves have laid
   there. */
void sl__effective_fill(sl__effective *e)
{
    memset(e->fill, 0, (size_t)e->f->values * sizeof *e->fill);
    for (int32_t s = 0; s < e->f->blocks; s++) {
        if (sl__is_twig(&e->f->block[s])) {
            fill_twig(e, s);
        } else {
            fill_block(e, s);
        }
    }
}

/* Resistances between all pairs of the rows below a block, from the entries into its square. */
static void fetch_below(sl__effective *e, int32_t s)
{
    const sl__factor *f = e->f;
    const sl__factor_block *b = &f->block[s];
    const int32_t *place = f->place + e->at[s].place;
    const int32_t height = sl__block_height(b);
    const sl__factor_link *link = f->link + e->at[s].link;
    for (int32_t l = 0, a = 0; l < b->links; l++, link++) {
        const int32_t *end = place + (b->below - a);
        for (; a < link->end; a++, place++) {
            const double *from = e->ohm + link->value_at + place[0] * (int64_t)link->height;
            double *row = e->square + (ptrdiff_t)(b->width + a) * (height + 1), *column = row;
            for (int32_t i = 1; i < b->below - a; i++) {
                column += height;
                row[i] = *column = from[place[i]];
            }
        }
        place = end;
    }
}

/* A column as its rows see it: the row with the greatest share is apart, for what would cancel
   against it is left out of the sums. */
typedef struct sight {
    const double *g; /* of the rows */
    double q;
    int32_t rows, main;
    const double *mean;    /* of each row: sum p r over the others, the main row left out */
    const double *to_main; /* its resistance to the main row */
    double others, spread; /* sums over all rows but the main one: g; p mean / 2 */
} sight;

/* Sums in an order that suits vectors. */
static ALWAYS_INLINE void sum_up(sight *of)
{
    enum { APART = 4 };
    const double *g = of->g, *mean = of->mean;
    double others[APART] = {0.0}, spread[APART] = {0.0};
    int32_t i = 0;
    for (; i + APART <= of->rows; i += APART) {
        for (int32_t k = 0; k < APART; k++) {
            const double share = i + k == of->main ? 0.0 : g[i + k];
            others[k] += share;
            spread[k] += 0.5 * share * of->q * mean[i + k];
        }
    }
    for (int32_t k = 0; i < of->rows; i++, k++) {
        const double share = i == of->main ? 0.0 : g[i];
        others[k] += share;
        spread[k] += 0.5 * share * of->q * mean[i];
    }
    of->others = (others[0] + others[1]) + (others[2] + others[3]);
    of->spread = (spread[0] + spread[1]) + (spread[2] + spread[3]);
}

/* The bow of a row, as what it is the difference of. */
static ALWAYS_INLINE double bow_of(const sight *of, int32_t i, double *most)
{
    const double main_share = of->g[of->main] * of->q;
    double plus, minus;
    if (i == of->main) {
        plus = of->others * of->q * of->mean[i];
        minus = of->spread;
    } else {
        plus = of->mean[i] + main_share * of->to_main[i];
        minus = of->spread + main_share * of->mean[of->main];
    }
    *most = plus + minus;
    return plus > minus ? plus - minus : 0.0;
}

/* The resistances of a column to its rows; and what its branches ask for. */
static ALWAYS_INLINE void write_column(sl__effective *e, int32_t column, const sight *of,
                                       double *restrict ohm)
{
    const double main_share = of->g[of->main] * of->q, q = of->q;
    const double minus = of->spread + main_share * of->mean[of->main];
    const double *mean = of->mean, *to_main = of->to_main;
    double most;
    for (int32_t i = 0; i < of->rows; i++) {
        const double bow = mean[i] + main_share * to_main[i] - minus;
        ohm[i] = q + (bow > 0.0 ? bow : 0.0);
    }
    ohm[of->main] = q + bow_of(of, of->main, &most);
    for (int32_t n = e->slot_at[column], end = e->slot_at[column + 1]; n < end; n++) {
        sl__effective_slot *slot = &e->slot[n];
        const int32_t i = slot->row;
        slot->bow = bow_of(of, i, &slot->bow_most);
        slot->others = (i == of->main ? of->others : of->others - of->g[i] + of->g[of->main]) * q;
        slot->ohm = ohm[i];
    }
}

/* A twig: few rows, so their resistances are best at hand. `rows` may be known to the compiler. */
static ALWAYS_INLINE void reach_twig_of(sl__effective *e, int32_t s, int32_t rows)
{
    enum { ROOM = SL__FEWEST_LINKED };
    const sl__factor *f = e->f;
    const int32_t column = e->at[s].column, *place = f->place + e->at[s].place;
    const int64_t base = e->at[s].value + 1;
    const double *g = f->value + base, q = f->inverse_pivot[column];
    double ohm[ROOM][ROOM], mean[ROOM] = {0};
    int32_t main = 0;
    for (int32_t a = 0; a < rows; a++) {
        ohm[a][a] = 0.0;
        for (int32_t b = a + 1; b < rows; b++) {
            ohm[a][b] = ohm[b][a] = e->ohm[*place++];
        }
        main = g[a] > g[main] ? a : main;
    }
    for (int32_t a = 0; a < rows; a++) {
        double sum = 0.0;
        for (int32_t b = 0; b < rows; b++) {
            sum += b == main ? 0.0 : g[b] * q * ohm[a][b];
        }
        mean[a] = sum;
    }
    sight of = {g, q, rows, main, mean, ohm[main], 0.0, 0.0};
    sum_up(&of);
    write_column(e, column, &of, e->ohm + base);
}

static void reach_twig(sl__effective *e, int32_t s)
{
    switch (e->f->block[s].below) {
    case 2:
        reach_twig_of(e, s, 2);
        break;
    case 3:
        reach_twig_of(e, s, 3);
        break;
    case 4:
        reach_twig_of(e, s, 4);
        break;
    default:
        reach_twig_of(e, s, e->f->block[s].below);
    }
}

/* mean[i] = sum of share[j] times row j, place i, of a square that is its own mirror image: four
   rows at a time, so that the sum stays in a register for as many steps. */
static ALWAYS_INLINE void find_means(int32_t rows, const double *share, const double *square,
                                     int32_t stride, double *restrict mean)
{
    int32_t j = 0;
    memset(mean, 0, (size_t)rows * sizeof *mean);
    for (; j + 4 <= rows; j += 4, square += 4 * (ptrdiff_t)stride) {
        const double *r0 = square, *r1 = r0 + stride, *r2 = r1 + stride, *r3 = r2 + stride;
        const double p0 = share[j], p1 = share[j + 1], p2 = share[j + 2], p3 = share[j + 3];
        for (int32_t i = 0; i < rows; i++) {
            mean[i] += (p0 * r0[i] + p1 * r1[i]) + (p2 * r2[i] + p3 * r3[i]);
        }
    }
    for (; j < rows; j++, square += stride) {
        const double p = share[j];
        for (int32_t i = 0; i < rows; i++) {
            mean[i] += p * square[i];
        }
    }
}

/* The resistances between column c of a block and its rows. */
static ALWAYS_INLINE void reach_column(sl__effective *e, int32_t s, int32_t c)
{
    const sl__factor *f = e->f;
    const int32_t height = sl__block_height(&f->block[s]), rows = height - c - 1;
    const int64_t base = e->at[s].value + (int64_t)c * height + c + 1;
    const double *g = f->value + base, q = f->inverse_pivot[e->at[s].column + c];
    double *inner = e->square + (ptrdiff_t)(c + 1) * (height + 1), *to = e->ohm + base;
    int32_t main = 0;
    for (int32_t i = 0; i < rows; i++) {
        e->share[i] = g[i] * q;
        main = g[i] > g[main] ? i : main;
    }
    e->share[main] = 0.0;
    find_means(rows, e->share, inner, height, e->mean);
    sight of = {g, q, rows, main, e->mean, inner + (ptrdiff_t)main * height, 0.0, 0.0};
    sum_up(&of);
    write_column(e, e->at[s].column + c, &of, to);
    double *row = e->square + (ptrdiff_t)c * (height + 1) + 1, *column = inner - 1;
    memcpy(row, to, (size_t)rows * sizeof *row);
    for (int32_t i = 0; i < rows; i++) {
        column[(ptrdiff_t)i * height] = to[i];
    }
}

static ALWAYS_INLINE void reach_block_of(sl__effective *e, int32_t s)
{
    const sl__factor_block *b = &e->f->block[s];
    const int32_t height = sl__block_height(b);
    for (int32_t i = 0; i < height; i++) {
        e->square[(ptrdiff_t)i * (height + 1)] = 0.0;
    }
    fetch_below(e, s);
    for (int32_t c = b->width - 1; c >= 0; c--) {
        reach_column(e, s, c);
    }
}

static void reach_block(sl__effective *e, int32_t s)
{
    reach_block_of(e, s);
}

#ifdef SL__WIDE_KERNELS
SL__AVX2 static void reach_block_avx2(sl__effective *e, int32_t s)
{
    reach_block_of(e, s);
}

SL__AVX512 static void reach_block_avx512(sl__effective *e, int32_t s)
{
    reach_block_of(e, s);
}
#endif

void sl__effective_reach(sl__effective *e, int32_t kernel)
{
    for (int32_t s = e->f->blocks - 1; s >= 0; s--) {
        if (sl__is_twig(&e->f->block[s])) {
            reach_twig(e, s);
        } else {
#define REACH(variant) variant(e, s)
            SL__CHOOSE(REACH, reach_block)
#undef REACH
        }
    }
}
