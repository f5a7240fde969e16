/* lib/numeric/lanes.h: several numbers side by side in one vector, and functions compiled for
   processors that have wide ones.

   Every lane has the digits that one number alone would have: nothing is contracted or done in
   another order, whatever the processor. So which variant of a function runs changes its speed
   alone. */
#ifndef SL_NUMERIC_LANES_H
#define SL_NUMERIC_LANES_H

#include <stdint.h>

enum { SL__LANES = 8 };

/* Alignment is that of its elements, so that any array of doubles will do. */
typedef double sl__lanes __attribute__((vector_size(SL__LANES * 8), aligned(8), may_alias));

/* Tools that read the code need not read all of it three times. */
#if defined(__GNUC__) && defined(__x86_64__) && !defined(__clang_analyzer__)
#define SL__WIDE_KERNELS
#define SL__AVX2 __attribute__((target("avx2")))
#define SL__AVX512 __attribute__((target("avx512f")))
#endif

/* The first place in an array, which has one vector more than it needs, where vectors do not lie
   across two lines of a cache. */
static inline sl__lanes *sl__lanes_at(void *array)
{
    const uintptr_t past = (uintptr_t)array % sizeof(sl__lanes);
    return past ? (void *)((char *)array + (sizeof(sl__lanes) - past)) : array;
}

/* Which variants this processor has: 1 the plain ones, 2 those for AVX2 too, 3 all. */
static inline int32_t sl__lane_kernels(void)
{
#ifdef SL__WIDE_KERNELS
    return !__builtin_cpu_supports("avx2") ? 1 : !__builtin_cpu_supports("avx512f") ? 2 : 3;
#else
    return 1;
#endif
}

/* Of what each_width.h has made for every width, that of variant `kernel`. */
#ifdef SL__WIDE_KERNELS
#define SL__OF_WIDTH(kernel, x) (*((kernel) == 3 ? &x##_512 : (kernel) == 2 ? &x##_256 : &x##_128))
#else
#define SL__OF_WIDTH(kernel, x) (*((void)(kernel), &x##_128))
#endif

/* Calls the variant `kernel`, 1 to sl__lane_kernels(): with(variant) is one statement. */
#ifdef SL__WIDE_KERNELS
#define SL__CHOOSE(with, family)                                                                   \
    switch (kernel) {                                                                              \
    case 3:                                                                                        \
        with(family##_avx512);                                                                     \
        break;                                                                                     \
    case 2:                                                                                        \
        with(family##_avx2);                                                                       \
        break;                                                                                     \
    default:                                                                                       \
        with(family);                                                                              \
    }
#else
#define SL__CHOOSE(with, family)                                                                   \
    (void)kernel;                                                                                  \
    with(family);
#endif

#endif
