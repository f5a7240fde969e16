/* lib/numeric/whatif.c: closed forms, many at a time. */
#include "numeric/whatif.h"

#include <math.h>
#include <stdint.h>

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

static void write_long(int32_t readings, const double *base, const double *w, double t, double *out)
{
    int32_t r = 0;
#ifdef __SSE2__
    if ((uintptr_t)out % 16 != 0) {
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

static void write_all(int32_t readings, const double *base, const double *w, int32_t count,
                      const double *t, double *out)
{
    if (readings < ROW_PAST_CACHE) {
        write_short(readings, base, w, count, t, out);
        return;
    }
    for (int32_t c = 0; c < count; c++) {
        write_long(readings, base, w, t[c], out + (ptrdiff_t)c * readings);
    }
#ifdef __SSE2__
    _mm_sfence();
#endif
}

void sl__whatif_series(sl__whatif branch, int32_t readings, const double *base, const double *w,
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

void sl__whatif_across(double apart, double between_ohm, int32_t readings, const double *base,
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

/* t of SL__LANES changes at a time for `now` resistances, t[c * SL__LANES + l]; and their answers
   where there are SL__LANES readings. */
#define KERNELS(name, target)                                                                      \
    target static void name##_series(const double *restrict amp, const double *restrict siemens,   \
                                     const double *restrict rest, int32_t now,                     \
                                     const double *restrict ohm, double *restrict t)               \
    {                                                                                              \
        for (int32_t c = 0; c < now; c++, t += SL__LANES) {                                        \
            const double by = ohm[c];                                                              \
            if (isinf(by)) {                                                                       \
                for (int32_t l = 0; l < SL__LANES; l++) {                                          \
                    t[l] = amp[l] / rest[l];                                                       \
                }                                                                                  \
                continue;                                                                          \
            }                                                                                      \
            for (int32_t l = 0; l < SL__LANES; l++) {                                              \
                const double ratio = siemens[l] * by;                                              \
                t[l] = amp[l] * ratio / (1.0 + rest[l] * ratio);                                   \
            }                                                                                      \
        }                                                                                          \
    }                                                                                              \
    target static void name##_across(const double *restrict apart, const double *restrict between, \
                                     int32_t now, const double *restrict ohm, double *restrict t)  \
    {                                                                                              \
        for (int32_t c = 0; c < now; c++, t += SL__LANES) {                                        \
            for (int32_t l = 0; l < SL__LANES; l++) {                                              \
                t[l] = -apart[l] / (ohm[c] + between[l]);                                          \
            }                                                                                      \
        }                                                                                          \
    }                                                                                              \
    target static void name##_write(const double *restrict base, const double *restrict w,         \
                                    int32_t now, const double *restrict t, double *restrict out)   \
    {                                                                                              \
        for (int32_t c = 0; c < now; c++, t += SL__LANES, out += SL__LANES) {                      \
            const double by = t[0];                                                                \
            for (int32_t r = 0; r < SL__LANES; r++) {                                              \
                out[r] = base[r] + by * w[r];                                                      \
            }                                                                                      \
        }                                                                                          \
    }
#define EVERYWHERE
KERNELS(all, EVERYWHERE)
#ifdef SL__WIDE_KERNELS
KERNELS(all_avx2, SL__AVX2)
KERNELS(all_avx512, SL__AVX512)
#endif

/* A block of up to SL__LANES changes with CHUNK resistances. */
typedef struct block {
    int32_t changes, readings, count;
    const double *base, *w;
    double *out;
} block;

/* Writes resistances first .. first + now - 1 of a block. */
static void write_block(const block *b, int32_t kernel, int32_t first, int32_t now, const double *t)
{
    for (int32_t l = 0; l < b->changes; l++) {
        const double *w = b->w + (ptrdiff_t)l * b->readings;
        double *out = b->out + ((ptrdiff_t)l * b->count + first) * b->readings;
        if (b->readings == SL__LANES) {
#define WRITE(variant) variant##_write(b->base, w, now, t + l, out)
            SL__CHOOSE(WRITE, all)
#undef WRITE
            continue;
        }
        double own[CHUNK];
        for (int32_t c = 0; c < now; c++) {
            own[c] = t[c * SL__LANES + l];
        }
        write_all(b->readings, b->base, w, now, own, out);
    }
}

/* Changes beyond `count`, at the end of all, are as the last: nobody reads what becomes of them. */
static int32_t lane_of(int32_t first, int32_t lane, int32_t count)
{
    return first + lane < count ? first + lane : count - 1;
}

void sl__whatif_series_all(int32_t branches, const sl__whatif *branch, int32_t readings,
                           const double *base, const double *w, int32_t count, const double *ohm,
                           double *out)
{
    const int32_t kernel = sl__lane_kernels();
    double t[CHUNK * SL__LANES], amp[SL__LANES], siemens[SL__LANES], rest[SL__LANES];
    for (int32_t first = 0; first < branches; first += SL__LANES) {
        const int32_t left = branches - first;
        const block b = {left < SL__LANES ? left : SL__LANES,
                         readings,
                         count,
                         base,
                         w + (ptrdiff_t)first * readings,
                         out + (ptrdiff_t)first * count * readings};
        for (int32_t l = 0; l < SL__LANES; l++) {
            const sl__whatif of = branch[lane_of(first, l, branches)];
            amp[l] = of.amp;
            siemens[l] = of.siemens;
            rest[l] = of.rest;
        }
        for (int32_t done = 0; done < count; done += CHUNK) {
            const int32_t now = count - done < CHUNK ? count - done : CHUNK;
#define SERIES(variant) variant##_series(amp, siemens, rest, now, ohm + done, t)
            SL__CHOOSE(SERIES, all)
#undef SERIES
            write_block(&b, kernel, done, now, t);
        }
    }
}

void sl__whatif_across_all(int32_t pairs, const double *apart, const double *between_ohm,
                           int32_t readings, const double *base, const double *w, int32_t count,
                           const double *ohm, double *out)
{
    const int32_t kernel = sl__lane_kernels();
    double t[CHUNK * SL__LANES], volt[SL__LANES], between[SL__LANES];
    for (int32_t first = 0; first < pairs; first += SL__LANES) {
        const int32_t left = pairs - first;
        const block b = {left < SL__LANES ? left : SL__LANES,
                         readings,
                         count,
                         base,
                         w + (ptrdiff_t)first * readings,
                         out + (ptrdiff_t)first * count * readings};
        for (int32_t l = 0; l < SL__LANES; l++) {
            volt[l] = apart[lane_of(first, l, pairs)];
            between[l] = between_ohm[lane_of(first, l, pairs)];
        }
        for (int32_t done = 0; done < count; done += CHUNK) {
            const int32_t now = count - done < CHUNK ? count - done : CHUNK;
#define ACROSS(variant) variant##_across(volt, between, now, ohm + done, t)
            SL__CHOOSE(ACROSS, all)
#undef ACROSS
            write_block(&b, kernel, done, now, t);
        }
    }
}
