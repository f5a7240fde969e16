/* lib/solve/lot_numbers.c: the numbers of a law as products of polynomials of what varies.

   A law has a few numbers: a resistance, a source voltage, the constants of a curve. With one
   parameter alone each is a smooth function nearly always, which a polynomial of Chebyshev has to
   the last places; with several, nearly always the product of such functions. Both are tried, at
   points of their own; where they do not hold the kind is asked, sample by sample. */
#include <math.h>
#include <string.h>

#include "solve/lot_plan.h"

enum { NODES = 18, TRIALS = 37, MIXED = 48 };

/* What is left out of a polynomial, and what it may be off by, as shares. */
#define NOTHING 3e-15
#define OFF 4e-14

/* A point that numbers are asked at: the part's own parameters, then the temperature. */
typedef struct point {
    double x[SL__PARAMS_ROOM + 1];
} point;

/* The numbers of all elements at a point. */
typedef struct numbers {
    sl__law law[SL__ELEMENTS_MOST];
} numbers;

static double number_of(const sl__law *law, int32_t which)
{
    return which == SL__NUMBER_OHM      ? law->ohm
           : which == SL__NUMBER_OPEN_V ? law->open_v
           : which == SL__NUMBER_AMP    ? law->amp
                                        : law->k[which - SL__NUMBER_K];
}

/* Does a law of this form look at a number? */
static bool counts(const sl__law *law, int32_t which)
{
    switch (law->form) {
    case SL__OHMIC:
        return which == SL__NUMBER_OHM || which == SL__NUMBER_OPEN_V;
    case SL__FIXED:
        return which == SL__NUMBER_AMP;
    case SL__CURVE:
        return which >= SL__NUMBER_K;
    default:
        return false;
    }
}

/* How a part is looked at. */
typedef struct look {
    const sl__plan *plan;
    const sl__plan_part *part;
    const sl__plan_work *work;
    int32_t state;
    int32_t variables;
    point nominal;
    double low[SL__PARAMS_ROOM + 1], high[SL__PARAMS_ROOM + 1];
    numbers base;
} look;

static bool same(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

/* Asks the kind. False: it cannot stand, or its elements are of other forms than usual. */
static bool ask(const look *l, const point *at, numbers *out)
{
    double value[SL__PARAMS_ROOM];
    if (!sl__plan_complete(l->plan, l->part, l->work, at->x, 1, value)) {
        return false;
    }
    sl__plan_laws(l->plan, l->part, value, at->x[l->part->items], l->state, out->law);
    for (int32_t e = 0; e < l->part->count; e++) {
        const sl__law *law = &out->law[e], *base = &l->base.law[e];
        const bool link = law->form == SL__OHMIC && law->ohm == 0.0;
        const bool links = base->form == SL__OHMIC && base->ohm == 0.0;
        if (law->form != base->form || link != links || law->curve != base->curve ||
            law->table != base->table) {
            return false;
        }
    }
    return true;
}

/* Value number n of `count` from low to high, the ends among them. */
static double trial_at(double low, double high, int32_t n)
{
    const double t = -cos(4.0 * atan(1.0) * n / (TRIALS - 1));
    return n == 0 ? low : n == TRIALS - 1 ? high : 0.5 * (low + high) + 0.5 * (high - low) * t;
}

static double node_at(double low, double high, int32_t n)
{
    return 0.5 * (low + high) - 0.5 * (high - low) * cos(4.0 * atan(1.0) * (n + 0.5) / NODES);
}

static double value_of(const sl__plan_poly *poly, double x)
{
    const double t = (x - poly->middle) * poly->scale;
    double b1 = 0.0, b2 = 0.0;
    for (int32_t k = poly->count - 1; k > 0; k--) {
        const double b0 = poly->c[k] + 2.0 * t * b1 - b2;
        b2 = b1;
        b1 = b0;
    }
    return poly->c[0] + t * b1 - b2;
}

/* The polynomial through f at the nodes, of which the last terms that are nothing are cut off. */
static int32_t fit(const double *f, double *c)
{
    double size = 0.0;
    for (int32_t k = 0; k < NODES; k++) {
        c[k] = 0.0;
        for (int32_t n = 0; n < NODES; n++) {
            /* The nodes rise, so the angle falls. */
            c[k] += f[n] * cos(4.0 * atan(1.0) * k * (NODES - n - 0.5) / NODES);
        }
        c[k] *= (k == 0 ? 1.0 : 2.0) / NODES;
        size = fmax(size, fabs(c[k]));
    }
    int32_t count = NODES;
    while (count > 1 && fabs(c[count - 1]) <= NOTHING * size) {
        count--;
    }
    return count;
}

/* What one variable makes of the numbers, the others as they are. */
typedef struct alone {
    numbers node[NODES], trial[TRIALS];
} alone;

static bool ask_alone(const look *l, int32_t variable, alone *out)
{
    point at = l->nominal;
    for (int32_t n = 0; n < NODES; n++) {
        at.x[variable] = node_at(l->low[variable], l->high[variable], n);
        if (!ask(l, &at, &out->node[n])) {
            return false;
        }
    }
    for (int32_t n = 0; n < TRIALS; n++) {
        at.x[variable] = trial_at(l->low[variable], l->high[variable], n);
        if (!ask(l, &at, &out->trial[n])) {
            return false;
        }
    }
    return true;
}

/* Takes in what a variable makes of one number. False: it is no polynomial. */
static bool take(sl__plan *plan, const look *l, const alone *from, int32_t variable,
                 sl__plan_number *number)
{
    double f[NODES], c[NODES];
    const int32_t e = number->element;
    bool moves = false;
    for (int32_t n = 0; n < NODES; n++) {
        const double y = number_of(&from->node[n].law[e], number->which);
        moves = moves || !same(y, number->base);
        f[n] = y / number->base;
    }
    for (int32_t n = 0; n < TRIALS; n++) {
        moves = moves || !same(number_of(&from->trial[n].law[e], number->which), number->base);
    }
    if (!moves) {
        return true;
    }
    if (!isfinite(number->base) || number->base == 0.0) {
        return false;
    }
    const double low = l->low[variable], high = l->high[variable];
    sl__plan_poly poly = {.x = variable < l->part->items ? l->part->item + variable
                                                         : plan->variables - 1,
                          .count = fit(f, c),
                          .middle = 0.5 * (low + high),
                          .scale = 2.0 / (high - low),
                          .c = c};
    for (int32_t n = 0; n < TRIALS; n++) {
        const double y = number_of(&from->trial[n].law[e], number->which) / number->base;
        if (!(fabs(value_of(&poly, trial_at(low, high, n)) - y) <= OFF * fabs(y))) {
            return false;
        }
    }
    poly.c = sl__arena_take(&plan->arena, poly.count, sizeof *poly.c);
    if (poly.c) {
        memcpy(poly.c, c, (size_t)poly.count * sizeof *c);
        number->poly[number->polys++] = poly;
    }
    return true;
}

/* Do the products hold where everything is off at once? */
static bool products_hold(const look *l)
{
    uint64_t seed = 1;
    for (int32_t n = 0; n < MIXED; n++) {
        point at = l->nominal;
        numbers found;
        for (int32_t v = 0; v < l->variables; v++) {
            seed = seed * 6364136223846793005U + 1442695040888963407U;
            const double share = n % 3 == 0 ? (double)(seed >> 63) : (double)(seed >> 33) * 0x1p-31;
            at.x[v] = l->low[v] + share * (l->high[v] - l->low[v]);
        }
        if (!ask(l, &at, &found)) {
            return false;
        }
        for (int32_t k = 0; k < l->work->numbers; k++) {
            const sl__plan_number *number = &l->work->number[k];
            double product = number->base;
            for (int32_t p = 0; p < number->polys; p++) {
                const sl__plan_poly *poly = &number->poly[p];
                const int32_t v = poly->x - l->part->item;
                const bool own = poly->x >= l->part->item && v < l->part->items;
                product *= value_of(poly, at.x[own ? v : l->part->items]);
            }
            const double wanted = number_of(&found.law[number->element], number->which);
            if (!same(product, wanted) && !(fabs(product - wanted) <= OFF * fabs(wanted))) {
                return false;
            }
        }
    }
    return true;
}

static bool find(sl__plan *plan, look *l, alone *from, sl__plan_work *work)
{
    numbers base;
    if (!ask(l, &l->nominal, &base)) {
        return false;
    }
    work->number = sl__arena_take(&plan->arena, l->part->count * SL__NUMBERS, sizeof *work->number);
    if (!work->number) {
        return false;
    }
    for (int32_t e = 0; e < l->part->count; e++) {
        for (int32_t which = 0; which < SL__NUMBERS; which++) {
            if (counts(&base.law[e], which)) {
                sl__plan_number *number = &work->number[work->numbers++];
                *number = (sl__plan_number){e, which, number_of(&base.law[e], which), 0, NULL};
                number->poly = sl__arena_take(&plan->arena, l->variables, sizeof *number->poly);
            }
        }
    }
    if (plan->arena.failed) {
        return false;
    }
    for (int32_t v = 0; v < l->variables; v++) {
        if (!ask_alone(l, v, from)) {
            return false;
        }
        for (int32_t k = 0; k < work->numbers; k++) {
            if (!take(plan, l, from, v, &work->number[k])) {
                return false;
            }
        }
    }
    return products_hold(l);
}

/* The ends between which a variable of a part lies at a stage. */
static void find_ends(look *l, const sl__stage *stage)
{
    const sl__vary *vary = l->plan->vary;
    l->variables = l->part->items;
    for (int32_t v = 0; v < l->part->items; v++) {
        const struct sl__vary_item *item = &vary->item[l->part->item + v];
        const sl_param *param = &l->part->kind->about.params[item->param];
        const double value = l->work->value[item->param];
        l->nominal.x[v] = value;
        l->low[v] = sl__spread_value(&item->spread, value, -1.0, param->least, param->greatest);
        l->high[v] = sl__spread_value(&item->spread, value, 1.0, param->least, param->greatest);
    }
    l->nominal.x[l->part->items] = stage->celsius;
    if (l->part->warm) {
        const int32_t v = l->variables++;
        l->low[v] =
            sl__spread_value(&vary->warmth, stage->celsius, -1.0, SL__LEAST_C, SL__GREATEST_C);
        l->high[v] =
            sl__spread_value(&vary->warmth, stage->celsius, 1.0, SL__LEAST_C, SL__GREATEST_C);
    }
}

/* Throws out numbers that nothing moves. */
static void keep_moving(sl__plan_work *work)
{
    int32_t kept = 0;
    for (int32_t k = 0; k < work->numbers; k++) {
        if (work->number[k].polys > 0) {
            work->number[kept++] = work->number[k];
        }
    }
    work->numbers = kept;
}

bool sl__plan_moves(const sl__plan *plan, const sl__stage *stage, int32_t branch, int32_t which)
{
    const sl_case *cs = plan->cs;
    const int32_t p = branch < cs->elements ? plan->part_of[cs->branch[branch].part] : -1;
    if (p < 0) {
        return false;
    }
    const sl__plan_work *work = &stage->work[p];
    bool moves = work->direct;
    for (int32_t n = 0; n < work->numbers; n++) {
        const sl__plan_number *number = &work->number[n];
        moves = moves || (plan->part[p].branch + number->element == branch &&
                          (which < 0 || number->which == which));
    }
    return moves;
}

sl_status sl__plan_numbers(sl__plan *plan, sl__stage *stage, int32_t part)
{
    sl__plan_work *work = &stage->work[part];
    struct room {
        look l;
        alone from;
    } *room = plan->room;
    if (!room) {
        plan->room = room = sl__arena_take(&plan->arena, 1, sizeof *room);
    }
    if (!room) {
        return SL_E_NOMEM;
    }
    look *l = &room->l;
    *l = (look){.plan = plan,
                .part = &plan->part[part],
                .work = work,
                .state = stage->state[plan->part[part].part]};
    for (int32_t e = 0; e < l->part->count; e++) {
        l->base.law[e] = stage->law[l->part->branch + e];
    }
    find_ends(l, stage);
    for (int32_t v = 0; v < l->variables; v++) {
        if (!(l->low[v] < l->high[v])) { /* it stands at the end of its range here */
            work->direct = true;
            return SL_OK;
        }
    }
    work->direct = !find(plan, l, &room->from, work);
    if (work->direct) {
        work->numbers = 0;
    }
    keep_moving(work);
    return plan->arena.failed ? SL_E_NOMEM : SL_OK;
}
