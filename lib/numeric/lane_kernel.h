/* lib/numeric/lane_kernel.h: the kernels of lane_kernels.h, for each width of vector
   (each_width.h). */
#if LANES_WIDE == 8
#define MUL(a, b) MUL_512(a, b)
#elif LANES_WIDE == 4
#define MUL(a, b) MUL_256(a, b)
#else
#define MUL(a, b) MUL_128(a, b)
#endif
#define PARTS (SL__LANES / LANES_WIDE)
#define EACH for (int h = 0; h < PARTS; h++)
#define VEC LANES_NAME(vec)
#define WORD LANES_NAME(word)
#define SIGN LANES_NAME(sign)

typedef double VEC __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));
typedef uint64_t WORD __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));
typedef int64_t SIGN __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));

/* Vector h of the lanes of entry k. */
#define AT(array, k) ((VEC *)(void *)((array) + (ptrdiff_t)(k)*SL__LANES))
#define AT_CONST(array, k) ((const VEC *)(const void *)((array) + (ptrdiff_t)(k)*SL__LANES))
#define CHOOSE(which, a, b) ((VEC)(((WORD)(a) & (WORD)(which)) | ((WORD)(b) & ~(WORD)(which))))

/* As sl__spread_value has it. */
LANES_TARGET static inline VEC LANES_NAME(spread_one)(const sl__lanes_spread *s, VEC z)
{
    const VEC zero = {0};
    const VEC up = zero + s->up, down = zero + s->down;
    VEC x = s->value + z * CHOOSE(z < 0.0, down, up);
    const VEC least = zero + s->least, greatest = zero + s->greatest;
    x = CHOOSE(x < least, least, x);
    return CHOOSE(x > greatest, greatest, x);
}

LANES_TARGET static void LANES_NAME(values)(int32_t count, const sl__lanes_spread *spread,
                                            const double *z, double *to)
{
    for (int32_t k = 0; k < count; k++) {
        const VEC *from = AT_CONST(z, spread[k].z);
        VEC *at = AT(to, spread[k].to);
        EACH at[h] = LANES_NAME(spread_one)(&spread[k], from[h]);
    }
}

LANES_TARGET static void LANES_NAME(ohmic)(int32_t count, const sl__lanes_spread *spread,
                                           const double *z, double *to)
{
    VEC sum[PARTS] = {{0}};
    for (int32_t k = 0; k < count; k++) {
        const VEC *from = AT_CONST(z, spread[k].z);
        EACH
        {
            const VEC x = LANES_NAME(spread_one)(&spread[k], from[h]);
            sum[h] += spread[k].ohm + spread[k].ohm_each * x;
        }
        if (spread[k].to >= 0) {
            EACH
            {
                AT(to, spread[k].to)[h] = 1.0 / sum[h];
                sum[h] = (VEC){0};
            }
        }
    }
}

LANES_TARGET static void LANES_NAME(chebyshev)(int32_t count, const double *c, double middle,
                                               double scale, const double *x, double *to)
{
    const VEC *from = AT_CONST(x, 0);
    VEC *at = AT(to, 0);
    EACH
    {
        /* C. W. Clenshaw, Math. Tables Aids Comput. 9 (1955) 118-120. */
        const VEC t = (from[h] - middle) * scale, twice = t + t;
        VEC b1 = {0}, b2 = {0};
        for (int32_t k = count - 1; k > 0; k--) {
            const VEC b0 = c[k] + twice * b1 - b2;
            b2 = b1;
            b1 = b0;
        }
        at[h] *= c[0] + t * b1 - b2;
    }
}

/* Blocks of the counter that are worked out side by side, so that one does not wait for its own
   products. */
#define TWIN 2

/* Philox4x32-10 in 64-bit lanes: what multiplications leave in the upper halves is not looked at by
   the next ones, and is cut off at the end. */
LANES_TARGET static inline void LANES_NAME(philox)(uint64_t seed, const WORD *sample,
                                                   uint64_t block, WORD word[TWIN][4])
{
    const WORD zero = {0}, m0 = zero + 0xD2511F53U, m1 = zero + 0xCD9E8D57U;
    uint32_t k0 = (uint32_t)seed, k1 = (uint32_t)(seed >> 32);
    for (int t = 0; t < TWIN; t++) {
        word[t][0] = *sample;
        word[t][1] = *sample >> 32;
        word[t][2] = zero + (block + (uint64_t)t);
        word[t][3] = zero;
    }
    for (int round = 0; round < 10; round++) {
        for (int t = 0; t < TWIN; t++) {
            WORD *c = word[t];
            const WORD a = MUL(m0, c[0]), b = MUL(m1, c[2]);
            c[0] = (b >> 32) ^ c[1] ^ (uint64_t)k0;
            c[1] = b;
            c[2] = (a >> 32) ^ c[3] ^ (uint64_t)k1;
            c[3] = a;
        }
        k0 += 0x9E3779B9U;
        k1 += 0xBB67AE85U;
    }
}

LANES_TARGET static void LANES_NAME(uniform)(uint64_t seed, const uint64_t *sample,
                                             int32_t variables, double *z)
{
    const WORD zero = {0}, two = zero + 0x4000000000000000U, rest = zero + 0xFFFFFFFFFFFFFU;
    const WORD *at = (const WORD *)(const void *)sample;
    for (int32_t v = 0; v < variables; v += 4 * TWIN) {
        EACH
        {
            WORD word[TWIN][4];
            LANES_NAME(philox)(seed, &at[h], (uint64_t)(v / 4), word);
            for (int n = 0; n < 4 * TWIN && v + n < variables; n++) {
                /* The bits of a word make a number of 2 to 4: exact, as is all that follows. */
                const WORD bits = word[n / 4][n % 4] << 20 & rest;
                AT(z, v + n)[h] = ((VEC)(bits | two) - 3.0) + 0x1p-32;
            }
        }
    }
}

LANES_TARGET static void LANES_NAME(normal)(int32_t count, int32_t terms, const double *p,
                                            const double *q, double square, double parts,
                                            const double *x, double *to)
{
    for (int32_t k = 0; k < count; k++) {
        const VEC *from = AT_CONST(x, k);
        VEC *at = AT(to, k);
        EACH
        {
            const VEC zero = {0}, s = square - from[h] * from[h];
            VEC above = zero + p[terms - 1], below = zero + q[terms - 1];
            for (int32_t n = terms - 2; n >= 0; n--) {
                above = above * s + p[n];
                below = below * s + q[n];
            }
            at[h] = from[h] * (above / below) / parts;
        }
    }
}

/* As pair.h has them. */
LANES_TARGET static inline void LANES_NAME(two_sum)(VEC a, VEC b, VEC *hi, VEC *lo)
{
    const VEC s = a + b, bb = s - a;
    *hi = s;
    *lo = (a - (s - bb)) + (b - bb);
}

LANES_TARGET static inline void LANES_NAME(add)(VEC *hi, VEC *lo, VEC b_hi, VEC b_lo)
{
    VEC s, rest;
    LANES_NAME(two_sum)(*hi, b_hi, &s, &rest);
    rest = rest + (*lo + b_lo);
    *hi = s + rest;
    *lo = rest - (*hi - s);
}

LANES_TARGET static inline void LANES_NAME(scale)(VEC *hi, VEC *lo, VEC k)
{
    const VEC a = *hi, ta = 0x1p27 * a + a, a1 = ta - (ta - a), a2 = a - a1;
    const VEC tk = 0x1p27 * k + k, k1 = tk - (tk - k), k2 = k - k1, p = a * k;
    const VEC rest = *lo * k + (((a1 * k1 - p) + a1 * k2 + a2 * k1) + a2 * k2);
    *hi = p + rest;
    *lo = rest - (*hi - p);
}

LANES_TARGET static void LANES_NAME(balance)(int32_t rows, int32_t branches,
                                             const sl__lanes_net *net, const double *x,
                                             double *left, double *room)
{
    double *low = room;
    for (int32_t r = 0; r < rows; r++) {
        EACH AT(left, r)[h] = AT(low, r)[h] = (VEC){0};
    }
    for (int32_t k = 0; k < branches; k++) {
        const int32_t from = net->from[k], to = net->to[k];
        if (from == to) {
            continue;
        }
        EACH
        {
            const VEC zero = {0};
            VEC hi = zero, lo = zero, other, rest;
            if (net->given[k]) {
                hi = AT_CONST(net->amps, k)[h];
            } else {
                const VEC a = from < 0 ? zero : AT_CONST(x, from)[h];
                const VEC b = to < 0 ? zero : AT_CONST(x, to)[h];
                LANES_NAME(two_sum)(a, -b, &hi, &lo);
                LANES_NAME(two_sum)
                (AT_CONST(net->offset, k)[h], -AT_CONST(net->source, k)[h], &other, &rest);
                LANES_NAME(add)(&hi, &lo, other, rest);
                LANES_NAME(scale)(&hi, &lo, AT_CONST(net->g, k)[h]);
            }
            if (from >= 0) {
                LANES_NAME(add)(AT(left, from) + h, AT(low, from) + h, -hi, -lo);
            }
            if (to >= 0) {
                LANES_NAME(add)(AT(left, to) + h, AT(low, to) + h, hi, lo);
            }
        }
    }
    for (int32_t r = 0; r < rows; r++) {
        EACH AT(left, r)[h] += AT(low, r)[h];
    }
}

static const sl__lanes_kernels LANES_NAME(kernels) = {
    LANES_NAME(values),  LANES_NAME(ohmic),  LANES_NAME(chebyshev),
    LANES_NAME(uniform), LANES_NAME(normal), LANES_NAME(balance),
};

#undef PARTS
#undef TWIN
#undef EACH
#undef VEC
#undef WORD
#undef SIGN
#undef AT
#undef AT_CONST
#undef CHOOSE
#undef MUL
