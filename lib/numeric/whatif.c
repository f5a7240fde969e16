/* lib/numeric/whatif.c: closed forms, many at a time. */
#include "numeric/whatif.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

/* With less left to divide by two changes may cut something off between them. */
#define LEFT_LEAST 1e-9

#ifdef __x86_64__
/* Readings that do not fill a vector of lines of the cache. */
static inline void stream_few(int32_t readings, const double *base, const double *w, double t,
                              double *out)
{
    for (int32_t r = 0; r < readings; r++) {
        const double value = base[r] + t * w[r];
        long long bits;
        memcpy(&bits, &value, sizeof bits);
        _mm_stream_si64((long long *)(void *)(out + r), bits);
    }
}
#define STREAM(to, v) _mm_stream_pd(to, (__m128d)(v))
#endif

typedef double vector2 __attribute__((vector_size(16), aligned(8), may_alias));
#define FUNCTION static
#define NAME(x) plain_##x
#define VECTOR vector2
#define WIDE 2
#include "numeric/whatif_kernel.h"

#ifdef SL__WIDE_KERNELS
#ifdef __clang__
#define STREAM(to, v) __builtin_nontemporal_store(v, (whole4 *)(void *)(to))
#else
#define STREAM(to, v) __builtin_ia32_movntpd256(to, v)
#endif
typedef double whole4 __attribute__((vector_size(32), may_alias));
typedef double vector4 __attribute__((vector_size(32), aligned(8), may_alias));
#define FUNCTION static SL__AVX2
#define NAME(x) plain_avx2_##x
#define VECTOR vector4
#define WIDE 4
#include "numeric/whatif_kernel.h"

#ifdef __clang__
#define STREAM(to, v) __builtin_nontemporal_store(v, (whole8 *)(void *)(to))
#else
#define STREAM(to, v) __builtin_ia32_movntpd512(to, v)
#endif
typedef double whole8 __attribute__((vector_size(64), may_alias));
#define FUNCTION static SL__AVX512
#define NAME(x) plain_avx512_##x
#define VECTOR sl__lanes
#define WIDE 8
#include "numeric/whatif_kernel.h"
#endif

void sl__whatif_series(int32_t kernel, const sl__whatif *branch, int32_t count, const double *ohm,
                       double *t)
{
#define SERIES(variant) variant##_series(branch, count, ohm, t)
    SL__CHOOSE(SERIES, plain)
#undef SERIES
}

void sl__whatif_across(int32_t kernel, double apart, double between_ohm, int32_t count,
                       const double *ohm, double *t)
{
#define ACROSS(variant) variant##_across(apart, between_ohm, count, ohm, t)
    SL__CHOOSE(ACROSS, plain)
#undef ACROSS
}

void sl__whatif_range(int32_t kernel, int32_t count, const double *t, double *least,
                      double *greatest)
{
#define RANGE(variant) variant##_range(count, t, least, greatest)
    SL__CHOOSE(RANGE, plain)
#undef RANGE
}

void sl__whatif_w(int32_t kernel, int32_t readings, const sl__whatif_row *out,
                  const sl__whatif_row *into, double *w){
#define W(variant) variant##_w(readings, out, into, w)
    SL__CHOOSE(W, plain)
#undef W
}

int32_t sl__whatif_cancelling(int32_t kernel, int32_t readings, const double *base, const double *w,
                              double least, double greatest, double share, int32_t *which)
{
    int32_t count = 0;
#define CANCELLING(variant)                                                                        \
    count = variant##_cancelling(readings, base, w, least, greatest, share, which)
    SL__CHOOSE(CANCELLING, plain)
#undef CANCELLING
    return count;
}

bool sl__whatif_sound(int32_t kernel, double base, double w, int32_t count, const double *t,
                      const sl__whatif_doubt *doubt)
{
    bool sound = false;
#define SOUND(variant) sound = variant##_sound(base, w, count, t, doubt)
    SL__CHOOSE(SOUND, plain)
#undef SOUND
    return sound;
}

void sl__whatif_pairs(int32_t kernel, const sl__whatif_pair *pair, int32_t count,
                      const double *per_v, const sl__whatif_two *out)
{
#define PAIRS(variant) variant##_pairs(pair, count, per_v, out)
    SL__CHOOSE(PAIRS, plain)
#undef PAIRS
}

void sl__whatif_pair_rows(int32_t kernel, int32_t readings, const double *base,
                          const double *const w[2], int32_t count, const sl__whatif_two *two,
                          const sl__whatif_doubt *doubt, double *out, bool *known)
{
#define ROWS(variant) variant##_pair_rows(readings, base, w, count, two, doubt, out, known)
    SL__CHOOSE(ROWS, plain)
#undef ROWS
}

void sl__whatif_rows(int32_t kernel, int32_t readings, const double *base, const double *w,
                     int32_t count, const double *t, bool past_caches, double *out)
{
#define ROWS(variant)                                                                              \
    (past_caches ? variant##_rows_past : variant##_rows)(readings, base, w, count, t, out)
    SL__CHOOSE(ROWS, plain)
#undef ROWS
}

void sl__whatif_finish(void)
{
#ifdef __SSE2__
    _mm_sfence();
#endif
}
