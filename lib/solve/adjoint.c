/* lib/solve/adjoint.c: the second network, fed by a reading. */
#include "solve/adjoint.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "numeric/balance.h"
#include "numeric/dense.h"

/* A curve that is flat here conducts this share of its typical conductance, where without it its
   nodes would hang on nothing. */
#define FLAT 1e-9
/* What the flows of a part are moved by to see what it makes of them. */
#define NUDGE 1e-6
#define NUDGE_FLOOR 1e-3

sl__stencil sl__stencil_at(double x, double h, double least, double greatest)
{
    if (x - h >= least && x + h <= greatest) {
        double up = x + h, down = x - h;
        return (sl__stencil){2, {down, up}, {-1.0 / (up - down), 1.0 / (up - down)}};
    }
    h = copysign(h, x - h < least ? 1.0 : -1.0);
    h = (x + h) - x;
    return (sl__stencil){3, {x, x + h, x + 2.0 * h}, {-1.5 / h, 2.0 / h, -0.5 / h}};
}

/* The laws of the answer in view, and the slopes of its curves as conductances. */
static sl_status linearise(sl_case *cs)
{
    const sl__answer *answer = &cs->answer[cs->view];
    sl__network *net = &cs->net;
    memcpy(cs->state, answer->state, (size_t)cs->parts * sizeof *cs->state);
    sl__trim_show(cs, answer);
    sl__laws_update(cs);
    sl_status st = sl__network_update(cs);
    if (st != SL_OK) {
        return st;
    }
    sl__curves_find(cs);
    for (int flat = 0; flat < 2; flat++) {
        for (int32_t c = 0; c < cs->curves.count; c++) {
            int32_t k = cs->curves.branch[c];
            const sl__law *law = &cs->branch[k].law;
            double unused;
            sl__law_current(law, answer->u[k], &unused, &net->g[k]);
            if (flat && fabs(net->g[k]) < FLAT * law->scale_s) {
                net->g[k] = FLAT * law->scale_s;
            }
        }
        if (cs->curves.count == 0 || sl__factor_update(net->factor, net->g) == net->islands) {
            return SL_OK;
        }
    }
    return sl__fail(&cs->message, SL_E_CONVERGENCE,
                    "no sensitivities: where this circuit has come to rest, a load whose current "
                    "falls with voltage leaves it no slope to come back by");
}

/* Voltages in series with links shift the nodes that hang on them. */
static void lay_sources(sl__adjoint *a)
{
    const sl_case *cs = a->cs;
    const sl__network *net = &cs->net;
    sl__pair *offset = a->work;
    for (int32_t q = 0; q < cs->nodes; q++) {
        sl_node n = net->order[q], up = net->up_node[n];
        double rise = 0.0;
        if (up >= 0) {
            int32_t k = net->up_link[n];
            rise = cs->branch[k].from == n ? a->amps[k] : -a->amps[k];
        }
        offset[n] = up >= 0 ? sl__pair_add(offset[up], sl__pair_of(rise)) : sl__pair_of(0.0);
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        const sl__branch *branch = &cs->branch[k];
        a->emf[k] = sl__pair_sub(sl__pair_sub(offset[branch->from], offset[branch->to]),
                                 sl__pair_of(a->amps[k]));
    }
    for (int32_t row = 0; row <= net->rows; row++) {
        a->inject[row] = sl__pair_of(0.0);
    }
    for (sl_node n = 0; n < cs->nodes; n++) {
        sl__pair *at = &a->inject[net->row[n] < 0 ? net->rows : net->row[n]];
        *at = sl__pair_add(*at, sl__pair_of(a->volts[n]));
    }
}

/* Currents of the links: what enters a node leaves it. */
static void flow_links(sl__adjoint *a)
{
    const sl_case *cs = a->cs;
    const sl__network *net = &cs->net;
    for (sl_node n = 0; n < cs->nodes; n++) {
        a->work[n] = sl__pair_of(-a->volts[n]);
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        if (!net->link[k]) {
            sl__pair *from = &a->work[cs->branch[k].from], *to = &a->work[cs->branch[k].to];
            *from = sl__pair_add(*from, a->i[k]);
            *to = sl__pair_sub(*to, a->i[k]);
        }
    }
    for (int32_t q = cs->nodes - 1; q >= 0; q--) {
        sl_node n = net->order[q], up = net->up_node[n];
        if (up >= 0) {
            sl__pair leaving = a->work[n];
            a->work[up] = sl__pair_add(a->work[up], leaving);
            int32_t k = net->up_link[n];
            a->i[k] = cs->branch[k].from == n ? sl__pair_neg(leaving) : leaving;
        }
    }
}

/* Solves for the weights in volts and amps; one step of refinement, as currents need it. */
static void solve(sl__adjoint *a)
{
    sl_case *cs = a->cs;
    const sl__network *net = &cs->net;
    lay_sources(a);
    for (int32_t row = 0; row < net->rows; row++) {
        a->v[row] = sl__pair_of(0.0);
    }
    sl__pair_currents(cs->branches, net->from, net->to, net->g, a->emf, a->v, a->i);
    for (int round = 0; round < 2; round++) {
        sl__pair_residual(net->rows, cs->branches, net->from, net->to, a->i, a->inject, a->work,
                          a->b);
        sl__factor_solve(net->factor, a->b, a->b);
        sl__pair_correct(net->rows, cs->branches, net->from, net->to, net->g, a->b, a->v, a->i);
    }
    flow_links(a);
    for (int32_t k = 0; k < cs->branches; k++) {
        sl__pair from = net->from[k] < 0 ? sl__pair_of(0.0) : a->v[net->from[k]];
        sl__pair to = net->to[k] < 0 ? sl__pair_of(0.0) : a->v[net->to[k]];
        a->psi[k] = sl__pair_value(sl__pair_add(sl__pair_sub(from, to), a->emf[k]));
        a->j[k] = net->loop[k] ? SL__NAN : sl__pair_value(a->i[k]);
    }
}

/* The laws of a part's elements; 0 where faults have taken one away. */
static void laws_of(const sl_case *cs, sl_part part, const double *values, double celsius,
                    sl__law *law)
{
    const sl__part *record = sl__case_part(cs, part);
    int32_t first = cs->branch_at[part], count = record->kind->about.element_count;
    memset(law, 0, (size_t)count * sizeof *law);
    for (int32_t e = 0; e < count; e++) {
        law[e].table = cs->branch[first + e].law.table;
    }
    record->kind->laws(values, celsius, cs->state[part], law);
    for (int32_t e = 0; e < count; e++) {
        law[e].form = cs->branch[first + e].open ? SL__ABSENT : law[e].form;
    }
}

/* What one law at one point of a stencil adds, before its weight. */
static double share_of(const sl__adjoint *a, int32_t k, const sl__law *law)
{
    const sl__answer *answer = &a->cs->answer[a->cs->view];
    const sl__law *now = &a->cs->branch[k].law;
    double i, slope;
    if (law->form != now->form) {
        return SL__NAN;
    }
    switch (law->form) {
    case SL__OHMIC:
        i = sl__pair_value(answer->i[k]);
        if (law->ohm == now->ohm && law->open_v == now->open_v) {
            return 0.0;
        }
        if (answer->loop[k]) {
            return SL__NAN;
        }
        return a->j[k] * ((law->open_v - now->open_v) + i * (law->ohm - now->ohm));
    case SL__FIXED:
        return -a->psi[k] * (law->amp - now->amp);
    case SL__CURVE:
        sl__law_current(law, answer->u[k], &i, &slope);
        return -a->psi[k] * (i - sl__pair_value(answer->i[k]));
    default:
        return 0.0;
    }
}

double sl__adjoint_effect(const sl__adjoint *a, sl_part part, const sl__stencil *stencil,
                          const double *const *values, const double *celsius)
{
    const sl_case *cs = a->cs;
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    sl__law law[SL__ELEMENTS_MOST];
    sl__flow flow[SL__ELEMENTS_MOST];
    double sum = 0.0;
    for (int32_t m = 0; m < stencil->count; m++) {
        laws_of(cs, part, values[m], celsius[m], law);
        for (int32_t e = 0; e < kind->about.element_count; e++) {
            sum += stencil->weight[m] * share_of(a, cs->branch_at[part] + e, &law[e]);
        }
    }
    int32_t t = a->trim_of[part];
    if (t >= 0 && a->push[t] != 0.0) {
        sl__flows(cs, &cs->answer[cs->view], part, flow);
        for (int32_t m = 0; m < stencil->count; m++) {
            sum += stencil->weight[m] * a->push[t] *
                   kind->trim(values[m], celsius[m], cs->state[part], flow);
        }
    }
    return sum;
}

double sl__adjoint_series(const sl__adjoint *a, int32_t k)
{
    double i = sl__pair_value(a->cs->answer[a->cs->view].i[k]);
    return a->cs->answer[a->cs->view].loop[k] ? SL__NAN : a->j[k] * i;
}

/* A stencil round what part t adjusts. */
static sl__stencil stencil_of(const sl_case *cs, int32_t t)
{
    double x = cs->answer[cs->view].trim[t];
    return sl__stencil_at(x, NUDGE * (1.0 + fabs(x)), -INFINITY, INFINITY);
}

/* The derivative of the reading by what part t adjusts, all others held. */
static double effect_of_trim(sl__adjoint *a, int32_t t)
{
    sl_case *cs = a->cs;
    sl_part part = cs->trimming[t];
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    double value[3][SL__PARAMS_ROOM];
    const double celsius[3] = {cs->celsius, cs->celsius, cs->celsius};
    const double *const values[3] = {value[0], value[1], value[2]};
    sl__stencil stencil = stencil_of(cs, t);
    for (int32_t m = 0; m < stencil.count; m++) {
        memcpy(value[m], sl__case_values(cs, part),
               (size_t)kind->about.param_count * sizeof **value);
        value[m][kind->trim_param] = stencil.at[m];
    }
    double push = a->push[t];
    a->push[t] = 0.0;
    double effect = sl__adjoint_effect(a, part, &stencil, values, celsius);
    a->push[t] = push;
    return effect;
}

/* dF/dx of part t at the flows it has. */
static double own_slope(const sl_case *cs, int32_t t)
{
    sl_part part = cs->trimming[t];
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    double value[SL__PARAMS_ROOM], slope = 0.0;
    sl__flow flow[SL__ELEMENTS_MOST];
    sl__flows(cs, &cs->answer[cs->view], part, flow);
    memcpy(value, sl__case_values(cs, part), (size_t)kind->about.param_count * sizeof *value);
    sl__stencil stencil = stencil_of(cs, t);
    for (int32_t m = 0; m < stencil.count; m++) {
        value[kind->trim_param] = stencil.at[m];
        slope += stencil.weight[m] * kind->trim(value, cs->celsius, cs->state[part], flow);
    }
    return slope;
}

/* dF of part t by one number of its flows. */
static double flow_slope(const sl_case *cs, sl_part part, sl__flow *flow, double *number)
{
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    double was = *number, slope = 0.0;
    if (isnan(was)) {
        return 0.0;
    }
    sl__stencil stencil =
        sl__stencil_at(was, NUDGE * fmax(fabs(was), NUDGE_FLOOR), -INFINITY, INFINITY);
    for (int32_t m = 0; m < stencil.count; m++) {
        *number = stencil.at[m];
        slope += stencil.weight[m] *
                 kind->trim(sl__case_values(cs, part), cs->celsius, cs->state[part], flow);
    }
    *number = was;
    return slope;
}

static void count_volts(sl__adjoint *a, int32_t k, double weight)
{
    a->volts[a->cs->branch[k].from] += weight;
    a->volts[a->cs->branch[k].to] -= weight;
}

/* Adds `times` F of part t to what is read. Returns whether it depends on the flows at all. */
static bool count_trim(sl__adjoint *a, int32_t t, double times)
{
    sl_case *cs = a->cs;
    sl_part part = cs->trimming[t];
    sl__flow flow[SL__ELEMENTS_MOST];
    sl__flows(cs, &cs->answer[cs->view], part, flow);
    bool live = false;
    int32_t first = cs->branch_at[part], last = cs->branch_at[part + 1];
    for (int32_t k = first; k < last; k++) {
        sl__flow *own = &flow[k - first];
        double by_v = flow_slope(cs, part, flow, &own->v);
        double by_i = flow_slope(cs, part, flow, &own->i);
        double by_added = own->added_v != 0.0 ? flow_slope(cs, part, flow, &own->added_v) : 0.0;
        live = live || by_v != 0.0 || by_i != 0.0 || by_added != 0.0;
        count_volts(a, k, times * by_v);
        a->amps[k] += times * by_i;
        for (int32_t s = cs->elements; s < cs->branches && by_added != 0.0; s++) {
            if (cs->branch[s].series_with == k) {
                count_volts(a, s, times * by_added);
            }
        }
    }
    return live;
}

static void count_nothing(sl__adjoint *a)
{
    memset(a->volts, 0, (size_t)a->cs->nodes * sizeof *a->volts);
    memset(a->amps, 0, (size_t)a->cs->branches * sizeof *a->amps);
}

/* Of part t, all that counts in F - x. */
static bool count_only_trim(sl__adjoint *a, int32_t t)
{
    count_nothing(a);
    return count_trim(a, t, 1.0);
}

/* Weights of the reading itself. */
static void count_reading(sl__adjoint *a, const sl_reading *of)
{
    const sl_case *cs = a->cs;
    count_nothing(a);
    if (of->part == SL_NONE) {
        a->volts[of->red] += 1.0;
        a->volts[of->black] -= 1.0;
        return;
    }
    const sl_kind *kind = &sl__case_part(cs, of->part)->kind->about;
    for (int32_t e = 0; e < kind->element_count; e++) {
        double first = (kind->elements[e].from == 0) - (kind->elements[e].to == 0);
        a->amps[cs->branch_at[of->part] + e] = of->element < 0 ? first : e == of->element;
    }
}

/* How much the parts count whose F moves with the currents: each keeps F = x, and their x move each
   other. The matrix is that of F - x by x. */
static sl_status push_live(sl__adjoint *a, const int32_t *live, int32_t count, double *slope,
                           double *wanted, int32_t *pivot)
{
    for (int32_t r = 0; r < count; r++) {
        count_only_trim(a, live[r]);
        solve(a);
        for (int32_t c = 0; c < count; c++) {
            /* Transposed: the unknowns weigh the rows. */
            slope[(ptrdiff_t)c * count + r] = effect_of_trim(a, live[c]);
        }
        slope[(ptrdiff_t)r * count + r] += own_slope(a->cs, live[r]) - 1.0;
    }
    if (sl__dense_factor(count, slope, pivot) != SL_OK) {
        return sl__fail(&a->cs->message, SL_E_CONVERGENCE,
                        "no sensitivities: parts that adjust themselves leave each other free");
    }
    sl__dense_solve(count, slope, pivot, wanted);
    for (int32_t r = 0; r < count; r++) {
        a->push[live[r]] = wanted[r];
    }
    return SL_OK;
}

/* Solves for the reading, parts that adjust themselves and all. */
static sl_status solve_reading(sl__adjoint *a, const sl_reading *of)
{
    sl_case *cs = a->cs;
    int32_t count = 0, *live = sl__arena_take(&a->arena, cs->trimming_count, sizeof *live);
    for (int32_t t = 0; live && t < cs->trimming_count; t++) {
        live[count] = t;
        count += count_only_trim(a, t);
    }
    double *slope = sl__arena_take(&a->arena, count, (size_t)count * sizeof *slope);
    double *wanted = sl__arena_take(&a->arena, count, sizeof *wanted);
    int32_t *pivot = sl__arena_take(&a->arena, count, sizeof *pivot);
    if (a->arena.failed) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    count_reading(a, of);
    solve(a);
    if (count > 0) {
        for (int32_t r = 0; r < count; r++) {
            wanted[r] = -effect_of_trim(a, live[r]);
        }
        sl_status st = push_live(a, live, count, slope, wanted, pivot);
        if (st != SL_OK) {
            return st;
        }
        count_reading(a, of);
        for (int32_t r = 0; r < count; r++) {
            count_trim(a, live[r], a->push[live[r]]);
        }
        solve(a);
    }
    for (int32_t t = 0, next = 0; t < cs->trimming_count; t++) {
        if (next < count && live[next] == t) {
            next++;
        } else {
            a->push[t] = effect_of_trim(a, t) / (1.0 - own_slope(cs, t));
        }
    }
    return SL_OK;
}

static sl_status take_room(sl__adjoint *a)
{
    const sl_case *cs = a->cs;
    sl__arena *arena = &a->arena;
    a->volts = sl__arena_take(arena, cs->nodes, sizeof *a->volts);
    a->amps = sl__arena_take(arena, cs->branches, sizeof *a->amps);
    a->j = sl__arena_take(arena, cs->branches, sizeof *a->j);
    a->psi = sl__arena_take(arena, cs->branches, sizeof *a->psi);
    a->push = sl__arena_take(arena, cs->trimming_count, sizeof *a->push);
    a->trim_of = sl__arena_take(arena, cs->parts, sizeof *a->trim_of);
    a->inject = sl__arena_take(arena, cs->nodes + 1, sizeof *a->inject);
    a->v = sl__arena_take(arena, cs->nodes, sizeof *a->v);
    a->work = sl__arena_take(arena, cs->nodes, sizeof *a->work);
    a->emf = sl__arena_take(arena, cs->branches, sizeof *a->emf);
    a->i = sl__arena_take(arena, cs->branches, sizeof *a->i);
    a->b = sl__arena_take(arena, cs->nodes, sizeof *a->b);
    return arena->failed ? SL_E_NOMEM : SL_OK;
}

sl_status sl__adjoint_open(sl_case *cs, const sl_reading *of, sl__adjoint *a)
{
    *a = (sl__adjoint){.cs = cs};
    a->arena.al = &cs->al;
    double unused;
    sl_status st = sl_case_reading(cs, of, &unused);
    if (st != SL_OK) {
        return sl__fail(&cs->message, st, "%s",
                        st == SL_W_FLOATING ? "nothing joins the two leads: there is no voltage "
                                              "between them to read"
                        : st == SL_W_UNDETERMINED
                            ? "this current is not defined: it shares a loop without resistance"
                            : "no such reading of a solved case");
    }
    if (take_room(a) != SL_OK) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    for (sl_part p = 0; p < cs->parts; p++) {
        a->trim_of[p] = -1;
    }
    for (int32_t t = 0; t < cs->trimming_count; t++) {
        a->trim_of[cs->trimming[t]] = t;
    }
    st = linearise(cs);
    return st == SL_OK ? solve_reading(a, of) : st;
}

void sl__adjoint_close(sl__adjoint *a)
{
    sl__arena_clear(&a->arena);
}
