/* lib/numeric/lane_kernels.c: the kernels for each width of vector. */
#include "numeric/lane_kernels.h"

#include <stddef.h>

/* The product of the lower halves of 64-bit lanes is one instruction, which the compiler that has
   these does not see by itself. */
#if defined(SL__WIDE_KERNELS) && !defined(__clang__)
typedef int ints_512 __attribute__((vector_size(64)));
typedef int ints_256 __attribute__((vector_size(32)));
typedef int ints_128 __attribute__((vector_size(16)));
typedef long long longs_512 __attribute__((vector_size(64)));
#define MUL_512(a, b)                                                                              \
    ((WORD)__builtin_ia32_pmuludq512_mask((ints_512)(a), (ints_512)(b), (longs_512){0}, 255))
#define MUL_256(a, b) ((WORD)__builtin_ia32_pmuludq256((ints_256)(a), (ints_256)(b)))
#define MUL_128(a, b) ((WORD)__builtin_ia32_pmuludq128((ints_128)(a), (ints_128)(b)))
#else
#define MUL_512(a, b) (((a)&0xFFFFFFFFU) * ((b)&0xFFFFFFFFU))
#define MUL_256(a, b) MUL_512(a, b)
#define MUL_128(a, b) MUL_512(a, b)
#endif

#define LANES_KERNEL "numeric/lane_kernel.h"
#include "numeric/each_width.h"

const sl__lanes_kernels *sl__lanes_kernels_of(int32_t kernel)
{
    return &SL__OF_WIDTH(kernel, kernels);
}
