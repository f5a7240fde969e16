/* lib/numeric/lane_power.c: powers in lanes for each width of vector. */
#include "numeric/lane_power.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#define ROOT_HALF_BITS ((uint64_t)0x3FE6A09E667F3BCD)
#define TWO_52_BITS ((uint64_t)0x4330000000000000)
#define SIGN_BITS ((uint64_t)1 << 63)

/* log 2, of which the upper part has 33 bits: its product with any exponent is exact. */
#define LOG2_HIGH 0x1.62e42feep-1
#define LOG2_LOW 0x1.a39ef35793c76p-33
#define LOG2_E 0x1.71547652b82fep0
#define FARTHEST 708.0

/* (2 artanh(s) / s - 2) / s^2 in powers of s^2, as far as (sqrt(2) - 1) / (sqrt(2) + 1): within
   2^-64 of 2. */
#define LOG_0 0x1.5555555555555p-1
#define LOG_1 0x1.9999999999a39p-2
#define LOG_2 0x1.2492492476a1ap-2
#define LOG_3 0x1.c71c7201a55d7p-3
#define LOG_4 0x1.745cf8e4bba1bp-3
#define LOG_5 0x1.3b1c3c1c81c8fp-3
#define LOG_6 0x1.0fbde0f4ad17bp-3
#define LOG_7 0x1.0c0aff044a970p-3

/* (exp(r) - 1 - r) / r^2, as far as log(2) / 2: times r^2 within 2^-62. */
#define EXP_0 0x1.0000000000000p-1
#define EXP_1 0x1.5555555555557p-3
#define EXP_2 0x1.5555555555556p-5
#define EXP_3 0x1.11111111100dcp-7
#define EXP_4 0x1.6c16c16c162d4p-10
#define EXP_5 0x1.a01a01abe7fe1p-13
#define EXP_6 0x1.a01a01a6d889cp-16
#define EXP_7 0x1.71de0231960ebp-19
#define EXP_8 0x1.27e4db646b17ep-22
#define EXP_9 0x1.af4de97ca4194p-26
#define EXP_10 0x1.1f730349868cep-29

/* The first 26 bits of a number. */
static inline double cut_off(double x)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    bits &= ~(uint64_t)0x7FFFFFF;
    memcpy(&x, &bits, sizeof x);
    return x;
}

#define LANES_KERNEL "numeric/lane_power_steps.h"
#include "numeric/each_width.h"

const sl__lanes_powers *sl__lanes_powers_of(int32_t kernel)
{
    return &SL__OF_WIDTH(kernel, powers);
}
