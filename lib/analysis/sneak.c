/* lib/analysis/sneak.c: loads fed through other loads, and currents that turn round, found by
   trying every switch, by opening every conductor, and by unplugging. */
#include "strapline/sneak.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/solve.h"
#include "strapline/contrast.h"

/* Something that uses current: an element of a load, or a coil. */
typedef struct user {
    sl_part part;
    int32_t element;
} user;

typedef struct search {
    sl_alloc al;
    const sl_circuit *circuit;
    sl_sweep *sweep;     /* every state; readings: volts and amperes of every user */
    sl_switching *state; /* [state_room] by fault of the sweep, from 1 on; 0: nothing is moved */
    int32_t state_count, state_room;
    user *users; /* [user_room] */
    int32_t user_count, user_room;
    double *volts, *amps; /* [cases][users] */
    bool *solved;         /* [cases] */
    bool *differs; /* [cases] no other case is the same: what is moved was not there before */
    double *alone; /* [cases] volts of one user with the other loads unplugged */
    int64_t cases;
    sl_edit *unplug; /* [loads] */
    int32_t loads;
    sl_sneak *out;
    int32_t room, count;
} search;

static bool is_switch(const sl_kind *kind)
{
    return kind->position_param >= 0 && !sl_kind_is_load(kind);
}

static bool is_user(const sl_kind *kind, int32_t element)
{
    return sl_kind_is_load(kind) || sl_use_is_coil(kind->uses[element]);
}

static sl_status list_users(search *s)
{
    for (sl_part p = 0; p < sl_circuit_part_count(s->circuit); p++) {
        const sl_kind *kind = sl_circuit_part_kind(s->circuit, p);
        for (int32_t e = 0; e < kind->element_count; e++) {
            if (!is_user(kind, e)) {
                continue;
            }
            user *grown =
                sl__reserve(&s->al, s->users, &s->user_room, s->user_count + 1, sizeof *grown);
            if (!grown) {
                return SL_E_NOMEM;
            }
            s->users = grown;
            s->users[s->user_count++] = (user){p, e};
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

static sl_switching as_it_is(sl_condition condition)
{
    return (sl_switching){condition, SL_NONE, 0, SL_NONE};
}

/* What makes a state of its condition: one edit, or none. */
static int32_t edit_of(const search *s, const sl_switching *state, sl_edit *edit)
{
    if (state->lost != SL_NONE) {
        *edit = (sl_edit){state->lost, SL_OPEN, -1, 0.0};
    } else if (state->moved != SL_NONE) {
        const int32_t param = sl_circuit_part_kind(s->circuit, state->moved)->position_param;
        *edit = (sl_edit){state->moved, SL_SET, param, state->position};
    }
    return state->lost != SL_NONE || state->moved != SL_NONE;
}

/* One position of a switch, or an open conductor, as a "fault" of the sweep. */
static sl_status add_state(search *s, const sl_switching *state)
{
    sl_edit edit;
    const int32_t edits = edit_of(s, state, &edit);
    sl_switching *grown =
        sl__reserve(&s->al, s->state, &s->state_room, s->state_count + 1, sizeof *grown);
    if (!grown) {
        return SL_E_NOMEM;
    }
    s->state = grown;
    sl_status st = sl_sweep_add_edits(s->sweep, "state", &edit, edits);
    if (st == SL_OK) {
        s->state[s->state_count++] = *state;
    }
    return st;
}

static sl_status list_states(search *s)
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

static sl_status list_lost(search *s)
{
    sl_status st = SL_OK;
    for (sl_part p = 0; p < sl_circuit_part_count(s->circuit) && st == SL_OK; p++) {
        if (only_conducts(sl_circuit_part_kind(s->circuit, p))) {
            st = add_state(s, &(sl_switching){SL_NONE, SL_NONE, 0, p});
        }
    }
    return st;
}

/* The switches of a case of the sweep. */
static sl_switching switching_of(const search *s, int64_t index)
{
    sl_sweep_case what;
    sl_sweep_case_at(s->sweep, index, &what);
    sl_switching state = as_it_is(what.condition);
    if (what.fault != SL_NONE) {
        state = s->state[what.fault];
        state.condition = what.condition;
    }
    return state;
}

static bool take_state(void *user_data, const sl_sweep_row *row)
{
    search *s = user_data;
    if (row->end > 0) {
        return true;
    }
    s->solved[row->index] = row->status >= 0;
    for (int32_t u = 0; u < s->user_count; u++) {
        const double volts = row->value[(ptrdiff_t)2 * u], amps = row->value[(ptrdiff_t)2 * u + 1];
        s->volts[row->index * s->user_count + u] = isnan(volts) ? 0.0 : volts;
        s->amps[row->index * s->user_count + u] = isnan(amps) ? 0.0 : amps;
    }
    return true;
}

typedef struct alone_of {
    search *s;
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
static int32_t unplug_others(const search *s, sl_part but, sl_edit *edits)
{
    int32_t count = 0;
    for (int32_t k = 0; k < s->loads; k++) {
        if (s->unplug[k].part != but) {
            edits[count++] = s->unplug[k];
        }
    }
    return count;
}

static bool is_fed(const search *s, int64_t index, int32_t u)
{
    const int64_t at = index * s->user_count + u;
    return s->solved[index] && fabs(s->volts[at]) >= SL_SNEAK_LEAST_V &&
           fabs(s->amps[at]) >= SL_SNEAK_LEAST_A;
}

/* Marks the cases in which a switch is moved to where it is not already. */
static sl_status mark_moved(const search *s, int64_t first, int64_t each)
{
    sl_case *cs = NULL;
    const sl_condition condition = switching_of(s, first).condition;
    sl_status st = sl_case_new(s->circuit, condition, &cs);
    st = st == SL_OK ? sl__case_prepare(cs) : st;
    st = st == SL_OK ? sl__laws_values(cs, condition) : st;
    for (int64_t k = first; k < first + each && st == SL_OK; k++) {
        const sl_switching state = switching_of(s, k);
        s->differs[k] = true;
        if (state.moved != SL_NONE) {
            const int32_t param = sl_circuit_part_kind(s->circuit, state.moved)->position_param;
            s->differs[k] = (int32_t)sl__case_values(cs, state.moved)[param] != state.position;
        }
    }
    sl_case_free(cs);
    return st == SL_E_NOMEM ? st : SL_OK;
}

static sl_status mark_all_moved(const search *s)
{
    const int64_t each = sl_sweep_condition_cases(s->sweep);
    sl_status st = SL_OK;
    for (int64_t first = 0; first < s->cases && st == SL_OK; first += each) {
        st = mark_moved(s, first, each);
    }
    return st;
}

/* Fed in this state, and not once the other loads are unplugged: less than a tenth is left. */
static bool is_fed_through(const search *s, int64_t index, int32_t u)
{
    const double volts = fabs(s->volts[index * s->user_count + u]);
    return is_fed(s, index, u) && fabs(s->alone[index]) < 0.1 * volts;
}

/* Voltage across a user in a state with loads unplugged; NaN without an answer. */
static sl_status volts_without(const search *s, const sl_switching *state, const user *of,
                               const sl_edit *unplug, int32_t count, double *volts)
{
    sl_case *cs = NULL;
    sl_edit edit;
    double amps = 0.0;
    sl_status st = sl_case_new(s->circuit, state->condition, &cs);
    st = st == SL_OK ? sl_case_edit(cs, &edit, edit_of(s, state, &edit)) : st;
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

/* The first two loads that take the voltage away, each by itself. */
static sl_status find_through(const search *s, sl_sneak *found)
{
    const user of = {found->part, found->element};
    for (int32_t k = 0; k < s->loads; k++) {
        double volts = SL__NAN;
        if (s->unplug[k].part == found->part) {
            continue;
        }
        sl_status st = volts_without(s, &found->where, &of, &s->unplug[k], 1, &volts);
        if (st != SL_OK) {
            return st;
        }
        if (fabs(volts) < 0.1 * fabs(found->volts) && found->through != SL_NONE) {
            found->also = s->unplug[k].part;
            return SL_OK;
        }
        if (fabs(volts) < 0.1 * fabs(found->volts)) {
            found->through = s->unplug[k].part;
        }
    }
    return SL_OK;
}

static void put_out(search *s, const sl_sneak *found)
{
    if (s->count < s->room) {
        s->out[s->count] = *found;
    }
    s->count++;
}

/* Is a state the better one to tell? As the condition has it before a switch moved; then the
   greater value of a table. */
static bool tells_more(const search *s, const double *table, int32_t u, int64_t k, int64_t best)
{
    const int64_t each = sl_sweep_condition_cases(s->sweep);
    if (best < 0 || (k % each == 0) != (best % each == 0)) {
        return best < 0 || k % each == 0;
    }
    return fabs(table[k * s->user_count + u]) > fabs(table[best * s->user_count + u]);
}

static sl_status look_through(search *s, int32_t u)
{
    int64_t best = -1;
    int32_t states = 0;
    bool on_its_own = false;
    for (int64_t k = 0; k < s->cases; k++) {
        on_its_own = on_its_own || (is_fed(s, k, u) && !is_fed_through(s, k, u));
        if (is_fed_through(s, k, u)) {
            states += s->differs[k];
            best = tells_more(s, s->volts, u, k, best) ? k : best;
        }
    }
    if (best < 0 || !on_its_own) { /* never without another load: in series with it by design */
        return SL_OK;
    }
    sl_sneak found = {.type = SL_SNEAK_THROUGH,
                      .part = s->users[u].part,
                      .element = s->users[u].element,
                      .states = states,
                      .where = switching_of(s, best),
                      .volts = s->volts[best * s->user_count + u],
                      .amps = s->amps[best * s->user_count + u],
                      .through = SL_NONE,
                      .also = SL_NONE,
                      .other = as_it_is(SL_NONE)};
    sl_status st = find_through(s, &found);
    if (st == SL_OK) {
        put_out(s, &found);
    }
    return st;
}

static void look_reversal(search *s, int32_t u)
{
    int64_t most[2] = {-1, -1}; /* forward, backward */
    int32_t states[2] = {0, 0};
    for (int64_t k = 0; k < s->cases; k++) {
        const double amps = s->amps[k * s->user_count + u];
        const int way = amps < 0.0;
        if (is_fed(s, k, u)) {
            states[way] += s->differs[k];
            most[way] = tells_more(s, s->amps, u, k, most[way]) ? k : most[way];
        }
    }
    if (most[0] < 0 || most[1] < 0) {
        return;
    }
    const sl_sneak found = {.type = SL_SNEAK_REVERSES,
                            .part = s->users[u].part,
                            .element = s->users[u].element,
                            .states = states[0] < states[1] ? states[0] : states[1],
                            .where = switching_of(s, most[0]),
                            .volts = s->volts[most[0] * s->user_count + u],
                            .amps = s->amps[most[0] * s->user_count + u],
                            .through = SL_NONE,
                            .also = SL_NONE,
                            .other = switching_of(s, most[1]),
                            .other_amps = s->amps[most[1] * s->user_count + u]};
    put_out(s, &found);
}

/* Fills alone[] of a user: every state with the other loads unplugged. */
static sl_status find_alone(search *s, int32_t u, sl_edit *edits)
{
    const sl_sweep_setup setup = {edits, unplug_others(s, s->users[u].part, edits), false, false};
    sl_sweeper *w = NULL;
    alone_of of = {s, u};
    sl_status st = sl_sweeper_new(s->sweep, &setup, &w);
    st = st == SL_OK ? sl_sweeper_run(w, 0, s->cases, take_alone, &of, NULL) : st;
    sl_sweeper_free(w);
    return st;
}

static sl_status look_at_users(search *s)
{
    sl_edit *edits = sl__new(&s->al, (size_t)s->loads + 1, sizeof *edits);
    sl_status st = edits ? SL_OK : SL_E_NOMEM;
    for (int32_t u = 0; u < s->user_count && st == SL_OK; u++) {
        bool ever = false;
        for (int64_t k = 0; k < s->cases; k++) {
            ever = ever || is_fed(s, k, u);
        }
        st = ever ? find_alone(s, u, edits) : SL_OK;
        st = ever && st == SL_OK ? look_through(s, u) : st;
        if (st == SL_OK) {
            look_reversal(s, u);
        }
    }
    sl__free(&s->al, edits, (size_t)s->loads + 1, sizeof *edits);
    return st;
}

/* A user that is off as the conditions are and is fed while a conductor is open: the case in which
   its voltage is greatest, or -1. */
static int64_t newly_fed(const search *s, int32_t lost, int32_t u, int32_t *conditions)
{
    const int64_t each = sl_sweep_condition_cases(s->sweep);
    int64_t best = -1;
    *conditions = 0;
    for (int64_t first = 0; first < s->cases; first += each) {
        const int64_t k = first + 1 + lost;
        if (is_fed(s, k, u) && s->solved[first] && !is_fed(s, first, u)) {
            *conditions += 1;
            best = tells_more(s, s->volts, u, k, best) ? k : best;
        }
    }
    return best;
}

static sl_status look_at_lost(search *s, int32_t lost, int32_t u, sl_edit *edits)
{
    int32_t conditions = 0;
    const int64_t at = newly_fed(s, lost, u, &conditions);
    if (at < 0) {
        return SL_OK;
    }
    sl_sneak found = {.type = SL_SNEAK_LOST,
                      .part = s->users[u].part,
                      .element = s->users[u].element,
                      .states = conditions,
                      .where = switching_of(s, at),
                      .volts = s->volts[at * s->user_count + u],
                      .amps = s->amps[at * s->user_count + u],
                      .through = SL_NONE,
                      .also = SL_NONE,
                      .other = as_it_is(SL_NONE)};
    double alone = SL__NAN;
    sl_status st = volts_without(s, &found.where, &s->users[u], edits,
                                 unplug_others(s, found.part, edits), &alone);
    if (st != SL_OK || !(fabs(alone) < 0.1 * fabs(found.volts))) {
        return st;
    }
    st = find_through(s, &found);
    if (st == SL_OK) {
        put_out(s, &found);
    }
    return st;
}

static sl_status look_at_all_lost(search *s)
{
    sl_edit *edits = sl__new(&s->al, (size_t)s->loads + 1, sizeof *edits);
    sl_status st = edits ? SL_OK : SL_E_NOMEM;
    for (int32_t lost = 0; lost < s->state_count && st == SL_OK; lost++) {
        for (int32_t u = 0; u < s->user_count && st == SL_OK; u++) {
            st = look_at_lost(s, lost, u, edits);
        }
    }
    sl__free(&s->al, edits, (size_t)s->loads + 1, sizeof *edits);
    return st;
}

/* Solves every state, into tables. */
static sl_status solve_all(search *s)
{
    sl_sweeper *w = NULL;
    s->cases = sl_sweep_case_count(s->sweep);
    s->loads = sl_circuit_unplug(s->circuit, NULL, 0);
    const size_t table = (size_t)s->cases * (size_t)s->user_count;
    s->volts = sl__new(&s->al, table, sizeof *s->volts);
    s->amps = sl__new(&s->al, table, sizeof *s->amps);
    s->alone = sl__new(&s->al, (size_t)s->cases, sizeof *s->alone);
    s->solved = sl__new(&s->al, (size_t)s->cases, sizeof *s->solved);
    s->differs = sl__new(&s->al, (size_t)s->cases, sizeof *s->differs);
    s->unplug = sl__new(&s->al, (size_t)s->loads, sizeof *s->unplug);
    if (!s->volts || !s->amps || !s->alone || !s->solved || !s->differs || !s->unplug) {
        return SL_E_NOMEM;
    }
    sl_circuit_unplug(s->circuit, s->unplug, s->loads);
    sl_status st = sl_sweeper_new(s->sweep, NULL, &w);
    st = st == SL_OK ? sl_sweeper_run(w, 0, s->cases, take_state, s, NULL) : st;
    sl_sweeper_free(w);
    return st;
}

static void free_search(search *s)
{
    const size_t cases = (size_t)s->cases, table = cases * (size_t)s->user_count;
    sl_sweep_free(s->sweep);
    sl__free(&s->al, s->state, (size_t)s->state_room, sizeof *s->state);
    sl__free(&s->al, s->users, (size_t)s->user_room, sizeof *s->users);
    sl__free(&s->al, s->volts, table, sizeof *s->volts);
    sl__free(&s->al, s->amps, table, sizeof *s->amps);
    sl__free(&s->al, s->alone, cases, sizeof *s->alone);
    sl__free(&s->al, s->solved, cases, sizeof *s->solved);
    sl__free(&s->al, s->differs, cases, sizeof *s->differs);
    sl__free(&s->al, s->unplug, (size_t)s->loads, sizeof *s->unplug);
}

/* One search: with all parts good over the switches, or over the conductors that are lost. */
static sl_status search_over(search *s, bool lost)
{
    sl_status st = sl_sweep_new(s->circuit, &s->sweep);
    st = st == SL_OK ? list_users(s) : st;
    st = st == SL_OK ? (lost ? list_lost(s) : list_states(s)) : st;
    st = st == SL_OK ? solve_all(s) : st;
    if (lost) {
        st = st == SL_OK ? look_at_all_lost(s) : st;
    } else {
        st = st == SL_OK ? mark_all_moved(s) : st;
        st = st == SL_OK ? look_at_users(s) : st;
    }
    free_search(s);
    return st;
}

sl_status sl_circuit_find_sneaks(const sl_circuit *circuit, sl_sneak *out, int32_t room,
                                 int32_t *count)
{
    search s = {.al = circuit->al, .circuit = circuit, .out = out, .room = room};
    sl_status st = search_over(&s, false);
    search lost = {.al = s.al, .circuit = circuit, .out = out, .room = room, .count = s.count};
    st = st == SL_OK ? search_over(&lost, true) : st;
    if (st == SL_OK) {
        *count = lost.count;
    }
    return st;
}
