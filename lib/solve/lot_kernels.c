/* lib/solve/lot_kernels.c: the kernels of lots for each width of vector. */
#include "solve/lot_kernels.h"

#include <stddef.h>

#define LANES_KERNEL "solve/lot_kernel.h"
#include "numeric/each_width.h"

const sl__lot_kernels *sl__lot_kernels_of(int32_t kernel)
{
    return &SL__OF_WIDTH(kernel, lot_kernels);
}
