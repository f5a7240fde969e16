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
