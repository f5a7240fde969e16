/* lib/numeric/each_width.h: functions written once for every width of vector. The including file
   has defined LANES_KERNEL as the header they are in, which is included here for each width with

       LANES_NAME(x)  the name of x in this width
       LANES_TARGET   what the compiler may use
       LANES_WIDE     doubles in a vector

   and undefines what it defines itself. SL__OF_WIDTH(kernel, x) then is the x of a variant.
   Kernels mix no lanes, take no sum in another order and have no fused multiplication: every width
   gives the same digits. */
#ifdef SL__WIDE_KERNELS
#define LANES_NAME(x) x##_512
#define LANES_TARGET SL__AVX512
#define LANES_WIDE 8
#include LANES_KERNEL
#undef LANES_NAME
#undef LANES_TARGET
#undef LANES_WIDE

#define LANES_NAME(x) x##_256
#define LANES_TARGET SL__AVX2
#define LANES_WIDE 4
#include LANES_KERNEL
#undef LANES_NAME
#undef LANES_TARGET
#undef LANES_WIDE
#endif

#define LANES_NAME(x) x##_128
#define LANES_TARGET
#define LANES_WIDE 2
#include LANES_KERNEL
#undef LANES_NAME
#undef LANES_TARGET
#undef LANES_WIDE

#undef LANES_KERNEL
