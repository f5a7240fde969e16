/* lib/numeric/whatif.c: closed forms, many at a time. */
#include "numeric/whatif.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

/* Changes worked out together: their divisions do not wait for each other. */
enum { CHUNK = 64 };

/* Longer rows are written past the caches: they would only push out what is read again. */
enum { ROW_PAST_CACHE = 64 };

static void write_short(int32_t readings, const double *restrict base, const double *restrict w,
                        int32_t count, const double *restrict t, double *restrict out)
{
    if (readings == 8) { /* eight meters: known to the compiler, it keeps them all at hand */
        for (int32_t c = 0; c < count; c++, out += 8) {
            for (int32_t r = 0; r < 8; r++) {
                out[r] = base[r] + t[c] * w[r];
            }
        }
        return;
    }
    for (int32_t c = 0; c < count; c++, out += readings) {
        for (int32_t r = 0; r < readings; r++) {
            out[r] = base[r] + t[c] * w[r];
        }
    }
}

/* A row written past the caches, base + t w. Every store of it goes there, or the processor would
   first read the line that two kinds of stores share: `narrow` ones up to a whole vector, then
   vectors, then narrow ones. */
static void write_narrow(int32_t readings, const double *base, const double *w, double t,
                         double *out)
{
    int32_t r = 0;
#ifdef __SSE2__
    if ((uintptr_t)out % 16 != 0 && readings > 0) {
        out[0] = base[0] + t * w[0];
        r = 1;
    }
    __m128d scale = _mm_set1_pd(t);
    for (; r + 2 <= readings; r += 2) {
        __m128d change = _mm_mul_pd(scale, _mm_loadu_pd(w + r));
        _mm_stream_pd(out + r, _mm_add_pd(_mm_loadu_pd(base + r), change));
    }
#endif
    for (; r < readings; r++) {
        out[r] = base[r] + t * w[r];
    }
}

static void rows_past(int32_t readings, const double *base, const double *w, int32_t count,
                      const double *t, double *out)
{
    for (int32_t c = 0; c < count; c++, out += readings) {
        write_narrow(readings, base, w, t[c], out);
    }
}

#ifdef SL__WIDE_KERNELS
#ifdef __clang__
#define STREAM(bits, to, v) __builtin_nontemporal_store(v, to)
#else
#define STREAM(bits, to, v) __builtin_ia32_movntpd##bits((double *)(to), v)
#endif
#define ROWS_PAST(name, target, bits)                                                              \
    typedef double name##_vector __attribute__((vector_size((bits) / 8), may_alias));              \
    typedef name##_vector name##_loose __attribute__((aligned(8)));                                \
    target static void name(int32_t readings, const double *base, const double *w, int32_t count,  \
                            const double *t, double *out)                                          \
    {                                                                                              \
        enum { WIDE = (bits) / 64 };                                                               \
        for (int32_t c = 0; c < count; c++, out += readings) {                                     \
            const int32_t first = (int32_t)(-(uintptr_t)out % ((bits) / 8) / sizeof *out);         \
            int32_t r = first;                                                                     \
            write_narrow(first, base, w, t[c], out);                                               \
            for (; r + WIDE <= readings; r += WIDE) {                                              \
                const name##_vector v =                                                            \
                    *(const name##_loose *)(base + r) + t[c] * *(const name##_loose *)(w + r);     \
                STREAM(bits, (name##_vector *)(void *)(out + r), v);                               \
            }                                                                                      \
            write_narrow(readings - r, base + r, w + r, t[c], out + r);                            \
        }                                                                                          \
    }
ROWS_PAST(rows_past_avx2, SL__AVX2, 256)
ROWS_PAST(rows_past_avx512, SL__AVX512, 512)
#endif

static void write_all(int32_t readings, const double *base, const double *w, int32_t count,
                      const double *t, double *out)
{
    if (readings < ROW_PAST_CACHE) {
        write_short(readings, base, w, count, t, out);
        return;
    }
    const int32_t kernel = sl__lane_kernels();
#define ROWS(variant) variant(readings, base, w, count, t, out)
    SL__CHOOSE(ROWS, rows_past)
#undef ROWS
}

/* What was written past the caches is there for all to see. */
static void finish(int32_t readings)
{
#ifdef __SSE2__
    if (readings >= ROW_PAST_CACHE) {
        _mm_sfence();
    }
#else
    (void)readings;
#endif
}

static void series(sl__whatif branch, int32_t readings, const double *base, const double *w,
                   int32_t count, const double *ohm, double *out)
{
    double t[CHUNK];
    for (int32_t done = 0; done < count; done += CHUNK) {
        int32_t now = count - done < CHUNK ? count - done : CHUNK;
        for (int32_t c = 0; c < now; c++) {
            double ratio = branch.siemens * ohm[done + c];
            t[c] = branch.amp * ratio / (1.0 + branch.rest * ratio);
        }
        for (int32_t c = 0; c < now; c++) {
            t[c] = isinf(ohm[done + c]) ? branch.amp / branch.rest : t[c];
        }
        write_all(readings, base, w, now, t, out + (ptrdiff_t)done * readings);
    }
}

static void across(double apart, double between_ohm, int32_t readings, const double *base,
                   const double *w, int32_t count, const double *ohm, double *out)
{
    double t[CHUNK];
    for (int32_t done = 0; done < count; done += CHUNK) {
        int32_t now = count - done < CHUNK ? count - done : CHUNK;
        for (int32_t c = 0; c < now; c++) {
            t[c] = -apart / (ohm[done + c] + between_ohm);
        }
        write_all(readings, base, w, now, t, out + (ptrdiff_t)done * readings);
    }
}

void sl__whatif_series(sl__whatif branch, int32_t readings, const double *base, const double *w,
                       int32_t count, const double *ohm, double *out)
{
    series(branch, readings, base, w, count, ohm, out);
    finish(readings);
}

void sl__whatif_across(double apart, double between_ohm, int32_t readings, const double *base,
                       const double *w, int32_t count, const double *ohm, double *out)
{
    across(apart, between_ohm, readings, base, w, count, ohm, out);
    finish(readings);
}

/* SL__LANES changes by SL__LANES readings at a time: each resistance in turn for all of them, so
   that divisions go on while answers are written. Answers of one change are SL__LANES * count apart
   from those of the next. */
typedef struct changes {
    double amp[SL__LANES], siemens[SL__LANES], rest[SL__LANES]; /* in series with a branch */
    double apart[SL__LANES], between[SL__LANES];                /* across two rows */
    double w[SL__LANES][SL__LANES];
} changes;

#define KERNELS(name, target, lanes)                                                               \
    typedef double name##_vector __attribute__((vector_size(8 * (lanes)), aligned(8), may_alias)); \
    target static inline void name##_write(const changes *of, const double *base, int32_t count,   \
                                           const double *t, double *out)                           \
    {                                                                                              \
        for (int32_t l = 0; l < SL__LANES; l++) {                                                  \
            double *to = out + (ptrdiff_t)l * count * SL__LANES;                                   \
            for (int32_t r = 0; r < SL__LANES; r += (lanes)) {                                     \
                *(name##_vector *)(to + r) = *(const name##_vector *)(base + r) +                  \
                                             t[l] * *(const name##_vector *)&of->w[l][r];          \
            }                                                                                      \
        }                                                                                          \
    }                                                                                              \
    target static void name##_series(const changes *of, const double *base, int32_t count,         \
                                     const double *ohm, double *out)                               \
    {                                                                                              \
        for (int32_t c = 0; c < count; c++, out += SL__LANES) {                                    \
            double t[SL__LANES];                                                                   \
            for (int32_t l = 0; l < SL__LANES; l += (lanes)) {                                     \
                const name##_vector amp = *(const name##_vector *)&of->amp[l];                     \
                const name##_vector rest = *(const name##_vector *)&of->rest[l];                   \
                const name##_vector ratio = *(const name##_vector *)&of->siemens[l] * ohm[c];      \
                *(name##_vector *)&t[l] =                                                          \
                    isinf(ohm[c]) ? amp / rest : amp * ratio / (1.0 + rest * ratio);               \
            }                                                                                      \
            name##_write(of, base, count, t, out);                                                 \
        }                                                                                          \
    }                                                                                              \
    target static void name##_across(const changes *of, const double *base, int32_t count,         \
                                     const double *ohm, double *out)                               \
    {                                                                                              \
        for (int32_t c = 0; c < count; c++, out += SL__LANES) {                                    \
            double t[SL__LANES];                                                                   \
            for (int32_t l = 0; l < SL__LANES; l += (lanes)) {                                     \
                const name##_vector apart = *(const name##_vector *)&of->apart[l];                 \
                const name##_vector between = *(const name##_vector *)&of->between[l];             \
                *(name##_vector *)&t[l] = -apart / (ohm[c] + between);                             \
            }                                                                                      \
            name##_write(of, base, count, t, out);                                                 \
        }                                                                                          \
    }
#define EVERYWHERE
KERNELS(all, EVERYWHERE, 2)
#ifdef SL__WIDE_KERNELS
KERNELS(all_avx2, SL__AVX2, 4)
KERNELS(all_avx512, SL__AVX512, 8)
#endif

void sl__whatif_series_all(int32_t branches, const sl__whatif *branch, int32_t readings,
                           const double *base, const double *w, int32_t count, const double *ohm,
                           double *out)
{
    const int32_t kernel = sl__lane_kernels();
    const ptrdiff_t each = (ptrdiff_t)count * readings;
    int32_t k = 0;
    for (; readings == SL__LANES && k + SL__LANES <= branches; k += SL__LANES) {
        changes of;
        for (int32_t l = 0; l < SL__LANES; l++) {
            of.amp[l] = branch[k + l].amp;
            of.siemens[l] = branch[k + l].siemens;
            of.rest[l] = branch[k + l].rest;
        }
        memcpy(of.w, w + (ptrdiff_t)k * SL__LANES, sizeof of.w);
#define SERIES(variant) variant##_series(&of, base, count, ohm, out + k * each)
        SL__CHOOSE(SERIES, all)
#undef SERIES
    }
    for (; k < branches; k++) {
        series(branch[k], readings, base, w + (ptrdiff_t)k * readings, count, ohm, out + k * each);
    }
    finish(readings);
}

void sl__whatif_across_all(int32_t pairs, const double *apart, const double *between_ohm,
                           int32_t readings, const double *base, const double *w, int32_t count,
                           const double *ohm, double *out)
{
    const int32_t kernel = sl__lane_kernels();
    const ptrdiff_t each = (ptrdiff_t)count * readings;
    int32_t k = 0;
    for (; readings == SL__LANES && k + SL__LANES <= pairs; k += SL__LANES) {
        changes of;
        memcpy(of.apart, apart + k, sizeof of.apart);
        memcpy(of.between, between_ohm + k, sizeof of.between);
        memcpy(of.w, w + (ptrdiff_t)k * SL__LANES, sizeof of.w);
#define ACROSS(variant) variant##_across(&of, base, count, ohm, out + k * each)
        SL__CHOOSE(ACROSS, all)
#undef ACROSS
    }
    for (; k < pairs; k++) {
        across(apart[k], between_ohm[k], readings, base, w + (ptrdiff_t)k * readings, count, ohm,
               out + k * each);
    }
    finish(readings);
}
