/* lib/numeric/counter.c: Philox4x32-10, and numbers between -1 and 1 from it. */
#include "numeric/counter.h"

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

/* From a word, above -1 and below 1: the middles of 2^32 steps, all of them exact. */
static double unit(uint32_t word)
{
    return ((double)word + 0.5) * 0x1p-31 - 1.0;
}

/* Three standard deviations reach from the middle to the ends, and so much of all numbers lies on
   either side within them. */
#define DEVIATIONS 3.0
#define WITHIN 0.4986501019683699

/* Where the normal distribution reaches 1/2 + q: algorithm AS 241 (PPND16) of M. J. Wichura, Appl.
   Stat. 37 (1988) 477-484; 1e-16 of it. In the middle q P(s) / Q(s) with s = CENTRE^2 - q^2, here
   as polynomials of s too. */
#define CENTRE 0.425
#define CENTRE_SQUARE 0.180625
enum { TERMS = 8 };
static const double middle_p[TERMS] = {3.3871328727963666080e0, 1.3314166789178437745e2,
                                       1.9715909503065514427e3, 1.3731693765509461125e4,
                                       4.5921953931549871457e4, 6.7265770927008700853e4,
                                       3.3430575583588128105e4, 2.5090809287301226727e3};
static const double middle_q[TERMS] = {1.0,
                                       4.2313330701600911252e1,
                                       6.8718700749205790830e2,
                                       5.3941960214247511077e3,
                                       2.1213794301586595867e4,
                                       3.9307895800092710610e4,
                                       2.8729085735721942674e4,
                                       5.2264952788528545610e3};
static const double outer_p[TERMS] = {1.42343711074968357734e0,  4.63033784615654529590e0,
                                      5.76949722146069140550e0,  3.64784832476320460504e0,
                                      1.27045825245236838258e0,  2.41780725177450611770e-1,
                                      2.27238449892691845833e-2, 7.74545014278341407640e-4};
static const double outer_q[TERMS] = {1.0,
                                      2.05319162663775882187e0,
                                      1.67638483018380384940e0,
                                      6.89767334985100004550e-1,
                                      1.48103976427480074590e-1,
                                      1.51986665636164571966e-2,
                                      5.47593808499534494600e-4,
                                      1.05075007164441684324e-9};

static double ratio(const double *p, const double *q, double x)
{
    double above = p[TERMS - 1], below = q[TERMS - 1];
    for (int n = TERMS - 2; n >= 0; n--) {
        above = above * x + p[n];
        below = below * x + q[n];
    }
    return above / below;
}

/* Beyond the centre, in units of the ends. */
static double outer(double q)
{
    const double r = sqrt(-log(0.5 - fabs(q))) - 1.6;
    return copysign(fmin(ratio(outer_p, outer_q, r) / DEVIATIONS, 1.0), q);
}

double sl__counter_draw(uint64_t seed, int64_t sample, int32_t variable, sl_shape shape)
{
    const uint32_t key[2] = {(uint32_t)seed, (uint32_t)(seed >> 32)};
    const uint32_t counter[4] = {(uint32_t)sample, (uint32_t)((uint64_t)sample >> 32),
                                 (uint32_t)variable / 4, 0};
    uint32_t word[4];
    sl__counter_block(counter, key, word);
    const double u = unit(word[variable % 4]);
    if (shape == SL_UNIFORM) {
        return u;
    }
    const double q = WITHIN * u;
    return fabs(q) > CENTRE ? outer(q)
                            : q * ratio(middle_p, middle_q, CENTRE_SQUARE - q * q) / DEVIATIONS;
}

void sl__counter_lanes(const sl__lanes_kernels *kernels, uint64_t seed, const int64_t *sample,
                       int32_t count, sl_shape shape, double *z, double *room)
{
    uint64_t number[SL__LANES];
    for (int l = 0; l < SL__LANES; l++) {
        number[l] = (uint64_t)sample[l];
    }
    if (shape == SL_UNIFORM) {
        kernels->uniform(seed, number, count, z);
        return;
    }
    const int32_t all = count * SL__LANES;
    kernels->uniform(seed, number, count, room);
    for (int32_t k = 0; k < all; k++) {
        room[k] *= WITHIN;
    }
    kernels->normal(count, TERMS, middle_p, middle_q, CENTRE_SQUARE, DEVIATIONS, room, z);
    for (int32_t k = 0; k < all; k++) {
        if (fabs(room[k]) > CENTRE) {
            z[k] = outer(room[k]);
        }
    }
}
