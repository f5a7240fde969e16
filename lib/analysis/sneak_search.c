/* lib/analysis/sneak_search.c: the states a search for sneak paths looks at, and their tables. */
#include "analysis/sneak_search.h"

#include <math.h>

#include "base/memory.h"
#include "solve/solve.h"

static bool is_switch(const sl_kind *kind)
{
    return kind->position_param >= 0 && !sl_kind_is_load(kind);
}

static bool is_user(const sl_kind *kind, int32_t element)
{
    return sl_kind_is_load(kind) || sl_use_is_coil(kind->uses[element]);
}

static sl_status list_users(sl__sneak_search *s)
{
    for (sl_part p = 0; p < sl_circuit_part_count(s->circuit); p++) {
        const sl_kind *kind = sl_circuit_part_kind(s->circuit, p);
        for (int32_t e = 0; e < kind->element_count; e++) {
            if (!is_user(kind, e)) {
                continue;
            }
            sl__sneak_user *grown =
                sl__reserve(&s->al, s->users, &s->user_room, s->user_count + 1, sizeof *grown);
            if (!grown) {
                return SL_E_NOMEM;
            }
            s->users = grown;
            s->users[s->user_count++] = (sl__sneak_user){p, e};
            const sl_sweep_reading volts = {SL_SWEEP_ELEMENT_DROP, p, e, 0};
            const sl_sweep_reading amps = {SL_SWEEP_ELEMENT_CURRENT, p, e, 0};
            sl_status st = sl_sweep_add_reading(s->sweep, &volts);
            st = st == SL_OK ? sl_sweep_add_reading(s->sweep, &amps) : st;
            if (st != SL_OK) {
                return st;
            }
        }
    }
    return SL_OK;
}

sl_switching sl__sneak_as_it_is(sl_condition condition)
{
    return (sl_switching){condition, SL_NONE, 0, SL_NONE};
}

/* What makes a state of its condition. */
enum { EDITS_MOST = 2 };
static int32_t edits_of(const sl__sneak_search *s, const sl_switching *state, sl_edit *edit)
{
    int32_t count = 0;
    if (state->moved != SL_NONE) {
        const int32_t param = sl_circuit_part_kind(s->circuit, state->moved)->position_param;
        edit[count++] = (sl_edit){state->moved, SL_SET, param, state->position};
    }
    if (state->lost != SL_NONE) {
        edit[count++] = (sl_edit){state->lost, SL_OPEN, -1, 0.0};
    }
    return count;
}

/* What is moved and what is open, as a "fault" of the sweep. */
static sl_status add_state(sl__sneak_search *s, const sl_switching *state)
{
    sl_edit edit[EDITS_MOST];
    const int32_t edits = edits_of(s, state, edit);
    sl_switching *grown =
        sl__reserve(&s->al, s->state, &s->state_room, s->state_count + 1, sizeof *grown);
    if (!grown) {
        return SL_E_NOMEM;
    }
    s->state = grown;
    sl_status st = sl_sweep_add_edits(s->sweep, "state", edit, edits);
    if (st == SL_OK) {
        s->state[s->state_count++] = *state;
    }
    return st;
}

static sl_status list_moves(sl__sneak_search *s)
{
    sl_status st = SL_OK;
    for (sl_part p = 0; p < sl_circuit_part_count(s->circuit) && st == SL_OK; p++) {
        const sl_kind *kind = sl_circuit_part_kind(s->circuit, p);
        const char *const *choices =
            is_switch(kind) ? kind->params[kind->position_param].choices : NULL;
        for (int32_t k = 0; choices && choices[k] && st == SL_OK; k++) {
            st = add_state(s, &(sl_switching){SL_NONE, p, k, SL_NONE});
        }
    }
    s->moves = s->state_count;
    return st;
}

/* Is all of it there to conduct, or to guard what does? */
static bool only_conducts(const sl_kind *kind)
{
    for (int32_t e = 0; e < kind->element_count; e++) {
        const sl_use use = kind->uses[e];
        if (use != SL_WIRE && use != SL_CONNECTION && use != SL_PROTECTION) {
            return false;
        }
    }
    return kind->element_count > 0;
}

/* A conductor: its currents are read, and it is open in a state for each move and for none. */
static sl_status add_lost(sl__sneak_search *s, sl_part p)
{
    sl_part *grown = sl__reserve(&s->al, s->lost, &s->lost_room, s->lost_count + 1, sizeof *grown);
    if (!grown) {
        return SL_E_NOMEM;
    }
    s->lost = grown;
    s->lost[s->lost_count++] = p;
    sl_status st = SL_OK;
    const int32_t elements = sl_circuit_part_kind(s->circuit, p)->element_count;
    for (int32_t e = 0; e < elements && st == SL_OK; e++) {
        st = sl_sweep_add_reading(s->sweep, &(sl_sweep_reading){SL_SWEEP_ELEMENT_CURRENT, p, e, 0});
    }
    for (int32_t m = -1; m < s->moves && st == SL_OK; m++) {
        sl_switching state = m < 0 ? sl__sneak_as_it_is(SL_NONE) : s->state[m];
        state.lost = p;
        st = add_state(s, &state);
    }
    return st;
}

static sl_status list_lost(sl__sneak_search *s)
{
    sl_status st = SL_OK;
    for (sl_part p = 0; p < sl_circuit_part_count(s->circuit) && st == SL_OK; p++) {
        if (only_conducts(sl_circuit_part_kind(s->circuit, p))) {
            st = add_lost(s, p);
        }
    }
    return st;
}

/* Where a case stands in its condition: 0 as it is, then the moves, then what is lost. */
static int64_t place_of(const sl__sneak_search *s, int64_t index)
{
    return index % sl_sweep_condition_cases(s->sweep);
}

int64_t sl__sneak_good(const sl__sneak_search *s, int64_t index)
{
    const int64_t place = place_of(s, index), good = 1 + s->moves;
    return index - place + place % good;
}

/* The switches of a case of the sweep. */
sl_switching sl__sneak_switching(const sl__sneak_search *s, int64_t index)
{
    sl_sweep_case what;
    sl_sweep_case_at(s->sweep, index, &what);
    sl_switching state = sl__sneak_as_it_is(what.condition);
    if (what.fault != SL_NONE) {
        state = s->state[what.fault];
        state.condition = what.condition;
    }
    return state;
}

static bool take_state(void *user_data, const sl_sweep_row *row)
{
    sl__sneak_search *s = user_data;
    if (row->end > 0) {
        return true;
    }
    s->solved[row->index] = row->status >= 0;
    for (int32_t u = 0; u < s->user_count; u++) {
        const double volts = row->value[(ptrdiff_t)2 * u], amps = row->value[(ptrdiff_t)2 * u + 1];
        s->volts[row->index * s->user_count + u] = isnan(volts) ? 0.0 : volts;
        s->amps[row->index * s->user_count + u] = isnan(amps) ? 0.0 : amps;
    }
    const double *amps = row->value + (ptrdiff_t)2 * s->user_count;
    for (int32_t l = 0; l < s->lost_count; l++) {
        bool *carries = &s->carries[row->index * s->lost_count + l];
        const int32_t elements = sl_circuit_part_kind(s->circuit, s->lost[l])->element_count;
        for (int32_t e = 0; e < elements; e++, amps++) {
            *carries = *carries || fabs(*amps) >= SL_SNEAK_LEAST_A;
        }
    }
    return true;
}

typedef struct alone_of {
    sl__sneak_search *s;
    int32_t user;
} alone_of;

static bool take_alone(void *user_data, const sl_sweep_row *row)
{
    const alone_of *of = user_data;
    if (row->end == 0) {
        const double volts = row->value[(ptrdiff_t)2 * of->user];
        of->s->alone[row->index] = row->status < 0 ? SL__NAN : isnan(volts) ? 0.0 : volts;
    }
    return true;
}

/* Edits that unplug every load but one part: [loads] at most. */
int32_t sl__sneak_unplug_others(const sl__sneak_search *s, sl_part but, sl_edit *edits)
{
    int32_t count = 0;
    for (int32_t k = 0; k < s->loads; k++) {
        if (s->unplug[k].part != but) {
            edits[count++] = s->unplug[k];
        }
    }
    return count;
}

/* Is it another state than its condition as it is? Not with a switch moved to where it is. */
static bool differs(const sl__sneak_search *s, const sl_case *cs, const sl_switching *state)
{
    if (state->moved == SL_NONE) {
        return true;
    }
    const int32_t param = sl_circuit_part_kind(s->circuit, state->moved)->position_param;
    return (int32_t)sl__case_values(cs, state->moved)[param] != state->position;
}

/* Is a case worth a solve? Nothing is lost with a conductor that carries nothing where the switches
   are so; and a fuse that blows as well is no switch. */
static bool counts(const sl__sneak_search *s, const sl_case *cs, int64_t index)
{
    const sl_switching state = sl__sneak_switching(s, index);
    if (!differs(s, cs, &state) || state.lost == SL_NONE || state.moved == SL_NONE) {
        return differs(s, cs, &state);
    }
    if (only_conducts(sl_circuit_part_kind(s->circuit, state.moved))) {
        return false;
    }
    const int64_t good = 1 + s->moves, lost = place_of(s, index) / good - 1;
    return s->carries[sl__sneak_good(s, index) * s->lost_count + lost];
}

/* The cases of a condition. */
static sl_status solve_condition(sl__sneak_search *s, sl_sweeper *w, int64_t first)
{
    const int64_t each = sl_sweep_condition_cases(s->sweep);
    const sl_condition condition = sl__sneak_switching(s, first).condition;
    sl_case *cs = NULL;
    sl_status st = sl_case_new(s->circuit, condition, &cs);
    st = st == SL_OK ? sl__case_prepare(cs) : st;
    st = st == SL_OK ? sl__laws_values(cs, condition) : st;
    if (st != SL_OK) { /* no case of it has an answer */
        sl_case_free(cs);
        return st == SL_E_NOMEM ? st : SL_OK;
    }
    for (int64_t k = first; k < first + each && st == SL_OK; k++) {
        if (counts(s, cs, k)) {
            st = sl_sweeper_run(w, k, 1, take_state, s, NULL);
        }
        st = st == SL_OK ? sl__sneak_tell(s, s->lost_count > 0 ? 2 : 0, k + 1, s->cases) : st;
    }
    sl_case_free(cs);
    return st;
}

/* Voltage across a user in a state with loads unplugged; NaN without an answer. */
sl_status sl__sneak_volts_without(const sl__sneak_search *s, const sl_switching *state,
                                  const sl__sneak_user *of, const sl_edit *unplug, int32_t count,
                                  double *volts)
{
    sl_case *cs = NULL;
    sl_edit edit[EDITS_MOST];
    double amps = 0.0;
    sl_status st = sl_case_new(s->circuit, state->condition, &cs);
    st = st == SL_OK ? sl_case_edit(cs, edit, edits_of(s, state, edit)) : st;
    st = st == SL_OK ? sl_case_edit(cs, unplug, count) : st;
    st = st == SL_OK ? sl_case_solve(cs) : st;
    *volts = SL__NAN;
    if (st >= 0) {
        sl_case_element(cs, of->part, of->element, &amps, volts);
        *volts = isnan(*volts) ? 0.0 : *volts;
    }
    sl_case_free(cs);
    return st == SL_E_NOMEM ? st : SL_OK;
}

bool sl__sneak_is_fed(const sl__sneak_search *s, int64_t index, int32_t u)
{
    const int64_t at = index * s->user_count + u;
    return s->solved[index] && fabs(s->volts[at]) >= SL_SNEAK_LEAST_V &&
           fabs(s->amps[at]) >= SL_SNEAK_LEAST_A;
}

sl_status sl__sneak_alone(sl__sneak_search *s, int32_t u, sl_edit *edits)
{
    const sl_sweep_setup setup = {edits, sl__sneak_unplug_others(s, s->users[u].part, edits), false,
                                  false};
    sl_sweeper *w = NULL;
    alone_of of = {s, u};
    sl_status st = sl_sweeper_new(s->sweep, &setup, &w);
    for (int64_t k = 0; k < s->cases && st == SL_OK; k++) {
        if (sl__sneak_is_fed(s, k, u)) {
            st = sl_sweeper_run(w, k, 1, take_alone, &of, NULL);
        }
    }
    sl_sweeper_free(w);
    return st;
}

static size_t carries_of(const sl__sneak_search *s)
{
    return (size_t)s->cases * (size_t)s->lost_count + 1;
}

/* Solves every state, into tables. */
static sl_status solve_all(sl__sneak_search *s)
{
    sl_sweeper *w = NULL;
    s->cases = sl_sweep_case_count(s->sweep);
    s->loads = sl_circuit_unplug(s->circuit, NULL, 0);
    const size_t table = (size_t)s->cases * (size_t)s->user_count;
    s->volts = sl__new(&s->al, table, sizeof *s->volts);
    s->amps = sl__new(&s->al, table, sizeof *s->amps);
    s->alone = sl__new(&s->al, (size_t)s->cases, sizeof *s->alone);
    s->solved = sl__new(&s->al, (size_t)s->cases, sizeof *s->solved);
    s->carries = sl__new(&s->al, carries_of(s), sizeof *s->carries);
    s->unplug = sl__new(&s->al, (size_t)s->loads, sizeof *s->unplug);
    if (!s->volts || !s->amps || !s->alone || !s->solved || !s->carries || !s->unplug) {
        return SL_E_NOMEM;
    }
    sl_circuit_unplug(s->circuit, s->unplug, s->loads);
    const sl_sweep_setup setup = {NULL, 0, false, true};
    sl_status st = sl_sweeper_new(s->sweep, &setup, &w);
    const int64_t each = sl_sweep_condition_cases(s->sweep);
    for (int64_t first = 0; first < s->cases && st == SL_OK; first += each) {
        st = solve_condition(s, w, first);
    }
    sl_sweeper_free(w);
    return st;
}

void sl__sneak_search_free(sl__sneak_search *s)
{
    const size_t cases = (size_t)s->cases, table = cases * (size_t)s->user_count;
    sl_sweep_free(s->sweep);
    sl__free(&s->al, s->state, (size_t)s->state_room, sizeof *s->state);
    sl__free(&s->al, s->users, (size_t)s->user_room, sizeof *s->users);
    sl__free(&s->al, s->volts, table, sizeof *s->volts);
    sl__free(&s->al, s->amps, table, sizeof *s->amps);
    sl__free(&s->al, s->alone, cases, sizeof *s->alone);
    sl__free(&s->al, s->solved, cases, sizeof *s->solved);
    sl__free(&s->al, s->carries, carries_of(s), sizeof *s->carries);
    sl__free(&s->al, s->lost, (size_t)s->lost_room, sizeof *s->lost);
    sl__free(&s->al, s->unplug, (size_t)s->loads, sizeof *s->unplug);
}

sl_status sl__sneak_solve(sl__sneak_search *s, bool lost)
{
    sl_status st = sl_sweep_new(s->circuit, &s->sweep);
    st = st == SL_OK ? list_users(s) : st;
    st = st == SL_OK ? list_moves(s) : st;
    st = st == SL_OK && lost ? list_lost(s) : st;
    return st == SL_OK ? solve_all(s) : st;
}

sl_status sl__sneak_tell(sl__sneak_search *s, int phase, int64_t done, int64_t of)
{
    const int64_t each = s->user_count, now = phase * each + (of > 0 ? each * done / of : each);
    if (!s->progress || now <= s->told) {
        return SL_OK;
    }
    s->told = now;
    return s->progress(s->user, now, SL__SNEAK_PHASES * each) ? SL_OK : SL_E_STOPPED;
}
