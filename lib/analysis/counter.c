/* lib/analysis/counter.c: Philox4x32-10, and numbers between -1 and 1 from it. */
#include "analysis/counter.h"

#include <math.h>

#define ROUNDS 10

void sl__counter_block(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4])
{
    uint32_t c[4] = {counter[0], counter[1], counter[2], counter[3]}, k0 = key[0], k1 = key[1];
    for (int round = 0; round < ROUNDS; round++) {
        const uint64_t a = (uint64_t)0xD2511F53U * c[0], b = (uint64_t)0xCD9E8D57U * c[2];
        const uint32_t next[4] = {(uint32_t)(b >> 32) ^ c[1] ^ k0, (uint32_t)b,
                                  (uint32_t)(a >> 32) ^ c[3] ^ k1, (uint32_t)a};
        for (int i = 0; i < 4; i++) {
            c[i] = next[i];
        }
        k0 += 0x9E3779B9U;
        k1 += 0xBB67AE85U;
    }
    for (int i = 0; i < 4; i++) {
        out[i] = c[i];
    }
}

/* From two words, above 0 and below 1. */
static double unit(uint32_t high, uint32_t low)
{
    const uint64_t bits = ((uint64_t)high << 32 | low) >> 12;
    return ((double)bits + 0.5) * 0x1p-52;
}

/* Three standard deviations reach from the middle to the ends. */
#define DEVIATIONS 3.0

double sl__counter_draw(uint64_t seed, int64_t sample, int32_t variable, sl_shape shape)
{
    const uint32_t key[2] = {(uint32_t)seed, (uint32_t)(seed >> 32)};
    uint32_t counter[4] = {(uint32_t)sample, (uint32_t)((uint64_t)sample >> 32), (uint32_t)variable,
                           0};
    for (;; counter[3]++) {
        uint32_t word[4];
        sl__counter_block(counter, key, word);
        const double u = unit(word[0], word[1]);
        if (shape == SL_UNIFORM) {
            return 2.0 * u - 1.0;
        }
        /* After G. E. P. Box and M. E. Muller, Ann. Math. Stat. 29 (1958) 610-611. */
        const double turn = 8.0 * atan(1.0) * unit(word[2], word[3]);
        const double z = sqrt(-2.0 * log(u)) * cos(turn) / DEVIATIONS;
        if (fabs(z) <= 1.0) {
            return z;
        }
    }
}
