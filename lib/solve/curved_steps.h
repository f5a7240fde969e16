/* lib/solve/curved_steps.h: the steps of curved_ports.h, for each width of vector (each_width.h). A
   lane has the digits that it would have with any others beside it. */
#define PARTS (SL__LANES / LANES_WIDE)
#define VEC LANES_NAME(port_vec)
#define WORD LANES_NAME(port_word)

typedef double VEC __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));
typedef uint64_t WORD __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));

/* Vector h of the lanes of entry k. */
#define AT(array, k) (((VEC *)(void *)((array) + (ptrdiff_t)(k)*SL__LANES))[h])
#define OF(array, k) (((const VEC *)(const void *)((array) + (ptrdiff_t)(k)*SL__LANES))[h])
#define CHOOSE(which, a, b) ((VEC)(((WORD)(a) & (WORD)(which)) | ((WORD)(b) & ~(WORD)(which))))
#define SIZE(a) ((VEC)((WORD)(a) & ~((uint64_t)1 << 63)))

/* Lanes of a mask as bits, and back. */
LANES_TARGET static inline unsigned LANES_NAME(bits)(WORD mask, int h)
{
    unsigned bits = 0;
    for (int l = 0; l < LANES_WIDE; l++) {
        bits |= (unsigned)(mask[l] & 1) << (h * LANES_WIDE + l);
    }
    return bits;
}

LANES_TARGET static inline WORD LANES_NAME(mask)(unsigned bits, int h)
{
    WORD mask = {0};
    for (int l = 0; l < LANES_WIDE; l++) {
        mask[l] = bits >> (h * LANES_WIDE + l) & 1U ? ~(uint64_t)0 : 0;
    }
    return mask;
}

/* to[k] += sign * sum over l of z_kl from_l, over curves; four at a time, which share what they
   read of `from`. */
LANES_TARGET static inline void LANES_NAME(add_curves)(const sl__lane_ports *p, int h,
                                                       const double *from, double *to)
{
    const int32_t n = p->curves;
    int32_t k = 0;
    for (; k + 4 <= n; k += 4) {
        const double *z = p->z + (ptrdiff_t)k * n;
        VEC a = AT(to, k), b = AT(to, k + 1), c = AT(to, k + 2), d = AT(to, k + 3);
        for (int32_t l = 0; l < n; l++) {
            const VEC x = OF(from, l);
            a += z[l] * x;
            b += z[l + n] * x;
            c += z[l + 2 * n] * x;
            d += z[l + 3 * n] * x;
        }
        AT(to, k) = a;
        AT(to, k + 1) = b;
        AT(to, k + 2) = c;
        AT(to, k + 3) = d;
    }
    for (; k < n; k++) {
        const double *z = p->z + (ptrdiff_t)k * n;
        VEC a = AT(to, k);
        for (int32_t l = 0; l < n; l++) {
            a += z[l] * OF(from, l);
        }
        AT(to, k) = a;
    }
}

/* The same over all ports. */
LANES_TARGET static inline void LANES_NAME(add_all)(const sl__lane_ports *p, int h,
                                                    const double *from, double *to)
{
    const int32_t n = p->curves;
    LANES_NAME(add_curves)(p, h, from, to);
    for (int32_t s = 0; s < p->slots; s++) {
        const double *across = p->across + (ptrdiff_t)s * n * SL__LANES;
        const VEC x = OF(from, n + s);
        VEC sum = AT(to, n + s);
        for (int32_t k = 0; k < n; k++) {
            const VEC z = OF(across, k);
            AT(to, k) += z * x;
            sum += z * OF(from, k);
        }
        for (int32_t t = 0; t < p->slots; t++) {
            sum += OF(p->between, s * SL__SLOTS_MOST + t) * OF(from, n + t);
        }
        AT(to, n + s) = sum;
    }
}

LANES_TARGET static void LANES_NAME(imbalance)(sl__lane_ports *p, double *most)
{
    const int32_t n = p->curves;
    for (int h = 0; h < PARTS; h++) {
        for (int32_t k = 0; k < n; k++) {
            const sl__lane_curve *c = &p->curve[k];
            const VEC away = AT(p->u, k) - c->volt, more = AT(p->i, k) - c->amp;
            AT(p->beyond, k) = more - c->siemens * away;
            AT(p->bends, k) = AT(p->slope, k) - c->siemens;
            AT(p->f, k) = c->rest * away + c->ohm * more;
        }
        for (int32_t s = 0; s < p->slots; s++) {
            const sl__lane_slot *slot = &p->slot[s];
            const VEC series = OF(slot->series_ohm, 0), siemens = OF(slot->siemens, 0);
            const VEC i = AT(p->i, n + s), slope = AT(p->slope, n + s);
            const VEC away = (AT(p->u, n + s) - OF(slot->apart, 0)) + series * i;
            const VEC more = i - OF(slot->amp, 0);
            AT(p->beyond, n + s) = more - siemens * away;
            AT(p->bends, n + s) = slope - siemens * (1.0 + series * slope);
            AT(p->f, n + s) = OF(slot->rest, 0) * away + OF(slot->ohm, 0) * more;
        }
        LANES_NAME(add_all)(p, h, p->beyond, p->f);
        VEC greatest = {0};
        for (int32_t k = 0; k < n + p->slots; k++) {
            const VEC size = SIZE(AT(p->f, k));
            greatest = CHOOSE(size <= greatest, greatest, size); /* NaN is the greatest */
        }
        AT(most, 0) = greatest;
    }
}

/* What each port does to itself, inverted for curves. */
LANES_TARGET static inline void LANES_NAME(find_own)(sl__lane_ports *p, int h)
{
    const int32_t n = p->curves;
    for (int32_t k = 0; k < n; k++) {
        const sl__lane_curve *c = &p->curve[k];
        AT(p->own, k) = c->rest + c->ohm * AT(p->slope, k);
        AT(p->by, k) = AT(p->bends, k) / AT(p->own, k);
    }
    for (int32_t s = 0; s < p->slots; s++) {
        const sl__lane_slot *slot = &p->slot[s];
        const VEC slope = AT(p->slope, n + s), series = OF(slot->series_ohm, 0);
        AT(p->own, n + s) = OF(slot->rest, 0) * (1.0 + series * slope) + OF(slot->ohm, 0) * slope;
    }
}

/* The system without what curves do to each other but through slots, see near_ports.c: what is left
   for the slots once the curves are eliminated, and its factor. Returns lanes where hardly anything
   is left of a column. */
LANES_TARGET static inline WORD LANES_NAME(part)(sl__lane_ports *p, int h)
{
    const int32_t n = p->curves, m = p->slots;
    WORD lost = {0};
    LANES_NAME(find_own)(p, h);
    VEC most[SL__SLOTS_MOST] = {{0}}; /* of the terms that each column is the differences of */
    for (int32_t s = 0; s < m; s++) {
        const double *from = p->across + (ptrdiff_t)s * n * SL__LANES;
        for (int32_t t = 0; t < m; t++) {
            const double *to = p->across + (ptrdiff_t)t * n * SL__LANES;
            VEC sum = {0};
            for (int32_t k = 0; k < n; k++) {
                sum += OF(from, k) * AT(p->by, k) * OF(to, k);
            }
            const VEC bends = AT(p->bends, n + t), by = sum * bends;
            VEC is = OF(p->between, s * SL__SLOTS_MOST + t) * bends;
            if (s == t) {
                is = AT(p->own, n + s);
            }
            const VEC one = SIZE(is), other = SIZE(by);
            const VEC size = CHOOSE(one > other, one, other);
            AT(p->matrix, s * SL__SLOTS_MOST + t) = is - by;
            most[t] = CHOOSE(size > most[t], size, most[t]);
        }
    }
    for (int32_t s = 0; s < m; s++) {
        const VEC pivot = AT(p->matrix, s * SL__SLOTS_MOST + s);
        lost |= ~(WORD)(SIZE(pivot) >= PIVOT_LEAST * most[s]);
        lost |= (WORD)(pivot == 0.0);
        for (int32_t r = s + 1; r < m; r++) {
            const VEC by = AT(p->matrix, r * SL__SLOTS_MOST + s) / pivot;
            AT(p->matrix, r * SL__SLOTS_MOST + s) = by;
            for (int32_t t = s + 1; t < m; t++) {
                AT(p->matrix, r * SL__SLOTS_MOST + t) -= by * AT(p->matrix, s * SL__SLOTS_MOST + t);
            }
        }
    }
    return lost;
}

/* Adds the solution of that system for a right-hand side to the step, in some lanes. */
LANES_TARGET static inline void LANES_NAME(solve_parted)(sl__lane_ports *p, int h,
                                                         const double *right, WORD takes)
{
    const int32_t n = p->curves, m = p->slots;
    VEC y[SL__SLOTS_MOST];
    for (int32_t s = 0; s < m; s++) {
        const double *across = p->across + (ptrdiff_t)s * n * SL__LANES;
        VEC sum = OF(right, n + s);
        for (int32_t k = 0; k < n; k++) {
            sum -= OF(across, k) * AT(p->by, k) * OF(right, k);
        }
        for (int32_t t = 0; t < s; t++) {
            sum -= AT(p->matrix, s * SL__SLOTS_MOST + t) * y[t];
        }
        y[s] = sum;
    }
    for (int32_t s = m - 1; s >= 0; s--) {
        for (int32_t t = s + 1; t < m; t++) {
            y[s] -= AT(p->matrix, s * SL__SLOTS_MOST + t) * y[t];
        }
        y[s] /= AT(p->matrix, s * SL__SLOTS_MOST + s);
        AT(p->step, n + s) += (VEC)((WORD)y[s] & takes);
        y[s] *= AT(p->bends, n + s);
    }
    for (int32_t k = 0; k < n; k++) {
        VEC x = OF(right, k);
        for (int32_t s = 0; s < m; s++) {
            x -= OF(p->across + (ptrdiff_t)s * n * SL__LANES, k) * y[s];
        }
        AT(p->step, k) += (VEC)((WORD)(x / AT(p->own, k)) & takes);
    }
}

/* What a step leaves of the imbalance as far as the slopes say, to p->left; returns the greatest.
 */
LANES_TARGET static inline VEC LANES_NAME(leaves)(sl__lane_ports *p, int h)
{
    const int32_t all = p->curves + p->slots;
    for (int32_t k = 0; k < all; k++) {
        AT(p->left, k) = -AT(p->f, k) - AT(p->own, k) * AT(p->step, k);
        AT(p->right, k) = -(AT(p->bends, k) * AT(p->step, k));
    }
    LANES_NAME(add_all)(p, h, p->right, p->left);
    VEC greatest = {0};
    for (int32_t k = 0; k < all; k++) {
        const VEC size = SIZE(AT(p->left, k));
        greatest = CHOOSE(size <= greatest, greatest, size);
    }
    return greatest;
}

LANES_TARGET static inline WORD LANES_NAME(is_small)(const sl__lane_ports *p, int h)
{
    const int32_t all = p->curves + p->slots;
    VEC most = {0};
    for (int32_t k = 0; k < all; k++) {
        const VEC size = SIZE(AT(p->u, k));
        most = CHOOSE(size > most, size, most);
    }
    WORD small = ~(WORD){0};
    for (int32_t k = 0; k < all; k++) {
        const VEC size = SIZE(AT(p->step, k));
        small &= (WORD)(size <= STEP_LEAST * SIZE(AT(p->u, k))) | (WORD)(size <= STEP_NONE * most);
    }
    return small;
}

/* What 1 A through a port puts across another one. */
LANES_TARGET static inline VEC LANES_NAME(between)(const sl__lane_ports *p, int h, int32_t k,
                                                   int32_t l)
{
    const int32_t n = p->curves;
    if (k < n && l < n) {
        const VEC zero = {0};
        return zero + p->z[(ptrdiff_t)k * n + l];
    }
    if (k >= n && l >= n) {
        return OF(p->between, (k - n) * SL__SLOTS_MOST + (l - n));
    }
    return k < n ? OF(p->across, (ptrdiff_t)(l - n) * n + k)
                 : OF(p->across, (ptrdiff_t)(k - n) * n + l);
}

LANES_TARGET static unsigned LANES_NAME(aim)(sl__lane_ports *p, unsigned takes, const double *most,
                                             unsigned *small)
{
    const int32_t all = p->curves + p->slots;
    unsigned sound = 0;
    *small = 0;
    for (int h = 0; h < PARTS; h++) {
        WORD now = LANES_NAME(mask)(takes, h);
        now &= ~LANES_NAME(part)(p, h);
        for (int32_t k = 0; k < all; k++) {
            AT(p->step, k) = (VEC)((WORD)AT(p->step, k) & ~now);
            AT(p->right, k) = -AT(p->f, k);
        }
        LANES_NAME(solve_parted)(p, h, p->right, now);
        WORD over = now;
        for (int again = 0; again <= AGAIN_MOST; again++) {
            over = now & ~(WORD)(LANES_NAME(leaves)(p, h) <= LEFT_BY_STEP * OF(most, 0));
            if (LANES_NAME(bits)(over, h) == 0 || again == AGAIN_MOST) {
                break;
            }
            LANES_NAME(solve_parted)(p, h, p->left, over);
        }
        now &= ~over;
        const WORD last = now & LANES_NAME(is_small)(p, h);
        const bool any = LANES_NAME(bits)(last, h) != 0;
        if (any) {
            LANES_NAME(solve_parted)(p, h, p->left, last);
        }
        for (int32_t k = 0; k < all; k++) {
            const VEC step = AT(p->step, k);
            AT(p->u, k) += (VEC)((WORD)step & now);
        }
        for (int32_t k = 0; any && k < all; k++) {
            const VEC step = AT(p->step, k), i = AT(p->i, k) + AT(p->slope, k) * step;
            const VEC beyond = AT(p->beyond, k) + AT(p->bends, k) * step;
            AT(p->end_u, k) = CHOOSE(last, AT(p->u, k), AT(p->end_u, k));
            AT(p->end_i, k) = CHOOSE(last, i, AT(p->end_i, k));
            AT(p->end_beyond, k) = CHOOSE(last, beyond, AT(p->end_beyond, k));
        }
        sound |= LANES_NAME(bits)(now, h);
        *small |= LANES_NAME(bits)(last, h);
    }
    return sound;
}

LANES_TARGET static void LANES_NAME(move)(sl__lane_ports *p, const double *share)
{
    for (int h = 0; h < PARTS; h++) {
        for (int32_t k = 0; k < p->curves + p->slots; k++) {
            AT(p->u, k) += OF(share, 0) * AT(p->step, k);
        }
    }
}

/* Lanes whose equations are dominated by their diagonal, which is positive. */
LANES_TARGET static unsigned LANES_NAME(dominated)(const sl__lane_ports *p)
{
    const int32_t all = p->curves + p->slots;
    unsigned lanes = 0;
    for (int h = 0; h < PARTS; h++) {
        WORD is = ~(WORD){0};
        for (int32_t k = 0; k < all; k++) {
            VEC sum = {0};
            for (int32_t l = 0; l < all; l++) {
                const VEC z = LANES_NAME(between)(p, h, k, l);
                sum += SIZE(z * AT(p->bends, l));
            }
            is &= (WORD)(sum < AT(p->own, k));
        }
        lanes |= LANES_NAME(bits)(is, h);
    }
    return lanes;
}

LANES_TARGET static void LANES_NAME(spread)(const sl__lane_ports *p, int32_t outputs,
                                            const double *of, const double *curve_w,
                                            const double *slot_w, double *value, double *size)
{
    const int32_t n = p->curves;
    for (int h = 0; h < PARTS; h++) {
        for (int32_t o = 0; o < outputs; o++) {
            const double *w = curve_w + (ptrdiff_t)o * n;
            VEC sum = {0}, most = {0};
            for (int32_t k = 0; k < n; k++) {
                const VEC term = w[k] * AT(p->end_beyond, k);
                sum += term;
                most += SIZE(term);
            }
            for (int32_t s = 0; s < p->slots; s++) {
                const VEC term =
                    OF(slot_w + (ptrdiff_t)s * outputs * SL__LANES, o) * AT(p->end_beyond, n + s);
                sum += term;
                most += SIZE(term);
            }
            AT(value, o) = of[o] - sum;
            AT(size, o) = most;
        }
    }
}

static const sl__lane_steps LANES_NAME(steps) = {
    LANES_NAME(imbalance), LANES_NAME(aim),    LANES_NAME(move),
    LANES_NAME(dominated), LANES_NAME(spread),
};

#undef PARTS
#undef VEC
#undef WORD
#undef AT
#undef OF
#undef CHOOSE
#undef SIZE
