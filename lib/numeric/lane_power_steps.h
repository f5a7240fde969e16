/* lib/numeric/lane_power_steps.h: the functions of lane_power.h, for each width of vector
   (each_width.h).

   x = 2^e m with m between sqrt(1/2) and sqrt(2), s = (m - 1) / (m + 1) and

       log x = e log 2 + 2 s + s^3 (2/3 + 2/5 s^2 + ...)

   whose first two terms are kept in two doubles. exp w = 2^n exp r with |r| <= log(2) / 2. Both
   series are replaced by polynomials through their values at the nodes of Chebyshev. Products that
   must be exact are of numbers cut off after 26 bits, so that no fused multiplication is needed and
   every width gives the same digits. */
#define PARTS (SL__LANES / LANES_WIDE)
#define VEC LANES_NAME(power_vec)
#define WORD LANES_NAME(power_word)
#define PAIR LANES_NAME(power_pair)
#define CHOOSE(which, a, b) ((VEC)(((WORD)(a) & (WORD)(which)) | ((WORD)(b) & ~(WORD)(which))))
#define CUT(a) ((VEC)((WORD)(a) & ~(uint64_t)0x7FFFFFF))

typedef double VEC __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));
typedef uint64_t WORD __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));
typedef struct PAIR {
    VEC hi, lo;
} PAIR;

/* Of x > 0, normal. */
LANES_TARGET static inline PAIR LANES_NAME(log_pair)(VEC x)
{
    const WORD past = ((WORD)x - ROOT_HALF_BITS + ((uint64_t)1024 << 52)) >> 52;
    const VEC e = (VEC)(past | TWO_52_BITS) - (0x1p52 + 1024.0);
    const VEC m = (VEC)((WORD)x - ((past - 1024) << 52));
    const VEC f = m - 1.0, d = m + 1.0, d_cut = CUT(d), d_rest = (d - d_cut) + (m - (d - 1.0));
    const VEC inverse = 1.0 / d, s_cut = CUT(f * inverse);
    const VEC s_rest = ((f - s_cut * d_cut) - s_cut * d_rest) * inverse;
    const VEC s = s_cut + s_rest, z = s * s, zz = z * z;
    const VEC even = LOG_0 + zz * (LOG_2 + zz * (LOG_4 + zz * LOG_6));
    const VEC odd = LOG_1 + zz * (LOG_3 + zz * (LOG_5 + zz * LOG_7));
    const VEC tail = s * z * (even + z * odd);
    const VEC whole = e * LOG2_HIGH, twice = s_cut + s_cut, hi = whole + twice;
    const VEC lo = (twice - (hi - whole)) + (e * LOG2_LOW + ((s_rest + s_rest) + tail));
    const VEC sum = hi + lo;
    return (PAIR){sum, lo - (sum - hi)};
}

/* Of a sum of not more than 708; beyond that nonsense. */
LANES_TARGET static inline VEC LANES_NAME(exp_pair)(PAIR w)
{
    const VEC shifted = (w.hi + w.lo) * LOG2_E + 0x1.8p52, n = shifted - 0x1.8p52;
    const VEC t = w.hi - n * LOG2_HIGH, u = w.lo - n * LOG2_LOW, r = t + u, rest = (t - r) + u;
    const VEC z = r * r, zz = z * z;
    const VEC even = EXP_0 + z * EXP_2 + zz * (EXP_4 + z * EXP_6 + zz * (EXP_8 + z * EXP_10));
    const VEC odd = EXP_1 + z * EXP_3 + zz * (EXP_5 + z * EXP_7 + zz * EXP_9);
    const VEC one = 1.0 + (r + (z * (even + r * odd) + rest));
    return (VEC)((WORD)one + ((WORD)shifted << 52));
}

/* y (log x), y cut and the rest of it. */
LANES_TARGET static inline PAIR LANES_NAME(times)(PAIR log_x, double y_cut, double y_rest)
{
    const VEC cut = CUT(log_x.hi), rest = (log_x.hi - cut) + log_x.lo;
    return (PAIR){y_cut * cut, y_cut * rest + y_rest * log_x.hi};
}

LANES_TARGET static inline WORD LANES_NAME(is_odd_one)(VEC x)
{
    return ~((WORD)(x >= 0x1p-1022) & (WORD)(x <= 0x1.fffffffffffffp1023));
}

LANES_TARGET static inline WORD LANES_NAME(is_far)(VEC w)
{
    return ~((WORD)(w >= -FARTHEST) & (WORD)(w <= FARTHEST));
}

LANES_TARGET static inline bool LANES_NAME(any)(WORD mask)
{
    uint64_t all = 0;
    for (int l = 0; l < LANES_WIDE; l++) {
        all |= mask[l];
    }
    return all != 0;
}

LANES_TARGET static void LANES_NAME(power)(int32_t count, const double *x, double exponent,
                                           double *to)
{
    const double y_cut = cut_off(exponent), y_rest = exponent - y_cut;
    for (int32_t k = 0; k < count * PARTS; k++) {
        const VEC from = ((const VEC *)(const void *)x)[k];
        const PAIR w = LANES_NAME(times)(LANES_NAME(log_pair)(from), y_cut, y_rest);
        VEC is = LANES_NAME(exp_pair)(w);
        const WORD odd = LANES_NAME(is_odd_one)(from) | LANES_NAME(is_far)(w.hi);
        if (LANES_NAME(any)(odd)) {
            for (int l = 0; l < LANES_WIDE; l++) {
                is[l] = odd[l] ? pow(from[l], exponent) : is[l];
            }
        }
        ((VEC *)(void *)to)[k] = is;
    }
}

LANES_TARGET static void LANES_NAME(exponential)(int32_t count, const double *x, double *to)
{
    for (int32_t k = 0; k < count * PARTS; k++) {
        const VEC zero = {0}, from = ((const VEC *)(const void *)x)[k];
        VEC is = LANES_NAME(exp_pair)((PAIR){from, zero});
        const WORD odd = LANES_NAME(is_far)(from);
        if (LANES_NAME(any)(odd)) {
            for (int l = 0; l < LANES_WIDE; l++) {
                is[l] = odd[l] ? exp(from[l]) : is[l];
            }
        }
        ((VEC *)(void *)to)[k] = is;
    }
}

LANES_TARGET static void LANES_NAME(logarithm)(int32_t count, const double *x, double *to)
{
    for (int32_t k = 0; k < count * PARTS; k++) {
        const VEC from = ((const VEC *)(const void *)x)[k];
        VEC is = LANES_NAME(log_pair)(from).hi;
        const WORD odd = LANES_NAME(is_odd_one)(from);
        if (LANES_NAME(any)(odd)) {
            for (int l = 0; l < LANES_WIDE; l++) {
                is[l] = odd[l] ? log(from[l]) : is[l];
            }
        }
        ((VEC *)(void *)to)[k] = is;
    }
}

LANES_TARGET static void LANES_NAME(bent)(const sl__lanes_bent *law, double exponent,
                                          const double *x, double *y, double *slope)
{
    const double y_cut = cut_off(exponent), y_rest = exponent - y_cut;
    for (int32_t h = 0; h < PARTS; h++) {
        const VEC from = ((const VEC *)(const void *)x)[h];
        const VEC straight = ((const VEC *)(const void *)law->straight)[h];
        const VEC knee = ((const VEC *)(const void *)law->knee)[h];
        const VEC least = ((const VEC *)(const void *)law->least)[h];
        const WORD sign = (WORD)from & SIGN_BITS;
        const VEC size = (VEC)((WORD)from & ~SIGN_BITS);
        const WORD beyond = (WORD)(size > knee);
        const VEC safe = CHOOSE(beyond, size, knee);
        const PAIR w = LANES_NAME(times)(LANES_NAME(log_pair)(safe), y_cut, y_rest);
        const VEC is = ((const VEC *)(const void *)law->scale)[h] * LANES_NAME(exp_pair)(w);
        const VEC bent = (VEC)((WORD)CHOOSE(is > least, is, least) | sign);
        ((VEC *)(void *)y)[h] = CHOOSE(beyond, bent, straight * from);
        ((VEC *)(void *)slope)[h] = CHOOSE(beyond, exponent * is / safe, straight);
    }
}

static const sl__lanes_powers LANES_NAME(powers) = {LANES_NAME(power), LANES_NAME(exponential),
                                                    LANES_NAME(logarithm), LANES_NAME(bent)};

#undef PARTS
#undef VEC
#undef WORD
#undef PAIR
#undef CHOOSE
#undef CUT
