/* lib/analysis/sneak.c: loads fed through other loads, and currents that turn round, found by
   trying every switch, by opening every conductor, and by unplugging. */
#include "analysis/sneak_search.h"

#include <math.h>

#include "base/memory.h"
#include "solve/solve.h"

/* Fed in this state, and not once the other loads are unplugged: less than a tenth is left. */
static bool is_fed_through(const sl__sneak_search *s, int64_t index, int32_t u)
{
    const double volts = fabs(s->volts[index * s->user_count + u]);
    return sl__sneak_is_fed(s, index, u) && fabs(s->alone[index]) < 0.1 * volts;
}

/* The first two loads that take the voltage away, each by itself. */
static sl_status find_through(const sl__sneak_search *s, sl_sneak *found)
{
    const sl__sneak_user of = {found->part, found->element};
    for (int32_t k = 0; k < s->loads; k++) {
        double volts = SL__NAN;
        if (s->unplug[k].part == found->part) {
            continue;
        }
        sl_status st = sl__sneak_volts_without(s, &found->where, &of, &s->unplug[k], 1, &volts);
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

static void put_out(sl__sneak_search *s, const sl_sneak *found)
{
    if (s->count < s->room) {
        s->out[s->count] = *found;
    }
    s->count++;
}

static bool is_as_it_is(const sl__sneak_search *s, int64_t index)
{
    return sl__sneak_switching(s, index).moved == SL_NONE;
}

/* Is a state the better one to tell? As the condition has it before a switch moved; then the
   greater value of a table. */
static bool tells_more(const sl__sneak_search *s, const double *table, int32_t u, int64_t k,
                       int64_t best)
{
    if (best < 0 || is_as_it_is(s, k) != is_as_it_is(s, best)) {
        return best < 0 || is_as_it_is(s, k);
    }
    return fabs(table[k * s->user_count + u]) > fabs(table[best * s->user_count + u]);
}

static sl_status look_through(sl__sneak_search *s, int32_t u)
{
    int64_t best = -1;
    int32_t states = 0;
    bool on_its_own = false;
    for (int64_t k = 0; k < s->cases; k++) {
        on_its_own = on_its_own || (sl__sneak_is_fed(s, k, u) && !is_fed_through(s, k, u));
        if (is_fed_through(s, k, u)) {
            states++;
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
                      .where = sl__sneak_switching(s, best),
                      .volts = s->volts[best * s->user_count + u],
                      .amps = s->amps[best * s->user_count + u],
                      .through = SL_NONE,
                      .also = SL_NONE,
                      .other = sl__sneak_as_it_is(SL_NONE)};
    sl_status st = find_through(s, &found);
    if (st == SL_OK) {
        put_out(s, &found);
    }
    return st;
}

static void look_reversal(sl__sneak_search *s, int32_t u)
{
    int64_t most[2] = {-1, -1}; /* forward, backward */
    int32_t states[2] = {0, 0};
    for (int64_t k = 0; k < s->cases; k++) {
        const double amps = s->amps[k * s->user_count + u];
        const int way = amps < 0.0;
        if (sl__sneak_is_fed(s, k, u)) {
            states[way]++;
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
                            .where = sl__sneak_switching(s, most[0]),
                            .volts = s->volts[most[0] * s->user_count + u],
                            .amps = s->amps[most[0] * s->user_count + u],
                            .through = SL_NONE,
                            .also = SL_NONE,
                            .other = sl__sneak_switching(s, most[1]),
                            .other_amps = s->amps[most[1] * s->user_count + u]};
    put_out(s, &found);
}

static sl_status look_at_users(sl__sneak_search *s)
{
    sl_edit *edits = sl__new(&s->al, (size_t)s->loads + 1, sizeof *edits);
    sl_status st = edits ? SL_OK : SL_E_NOMEM;
    for (int32_t u = 0; u < s->user_count && st == SL_OK; u++) {
        bool ever = false;
        for (int64_t k = 0; k < s->cases; k++) {
            ever = ever || sl__sneak_is_fed(s, k, u);
        }
        st = ever ? sl__sneak_alone(s, u, edits) : SL_OK;
        st = ever && st == SL_OK ? look_through(s, u) : st;
        if (st == SL_OK) {
            look_reversal(s, u);
            st = sl__sneak_tell(s, 1, u + 1, s->user_count);
        }
    }
    sl__free(&s->al, edits, (size_t)s->loads + 1, sizeof *edits);
    return st;
}

/* A user that is off with all conductors good and is fed while one is open: the case in which its
   voltage is greatest, or -1. */
static int64_t newly_fed(const sl__sneak_search *s, int32_t lost, int32_t u, int32_t *states)
{
    const int64_t each = sl_sweep_condition_cases(s->sweep), moves = 1 + s->moves;
    int64_t best = -1;
    *states = 0;
    for (int64_t first = (1 + lost) * moves; first < s->cases; first += each) {
        for (int64_t k = first; k < first + moves; k++) {
            const int64_t good = sl__sneak_good(s, k);
            if (sl__sneak_is_fed(s, k, u) && s->solved[good] && !sl__sneak_is_fed(s, good, u)) {
                *states += 1;
                best = tells_more(s, s->volts, u, k, best) ? k : best;
            }
        }
    }
    return best;
}

static sl_status look_at_lost(sl__sneak_search *s, int32_t lost, int32_t u, sl_edit *edits)
{
    int32_t states = 0;
    const int64_t at = newly_fed(s, lost, u, &states);
    if (at < 0) {
        return SL_OK;
    }
    sl_sneak found = {.type = SL_SNEAK_LOST,
                      .part = s->users[u].part,
                      .element = s->users[u].element,
                      .states = states,
                      .where = sl__sneak_switching(s, at),
                      .volts = s->volts[at * s->user_count + u],
                      .amps = s->amps[at * s->user_count + u],
                      .through = SL_NONE,
                      .also = SL_NONE,
                      .other = sl__sneak_as_it_is(SL_NONE)};
    double alone = SL__NAN;
    sl_status st = sl__sneak_volts_without(s, &found.where, &s->users[u], edits,
                                           sl__sneak_unplug_others(s, found.part, edits), &alone);
    if (st != SL_OK || !(fabs(alone) < 0.1 * fabs(found.volts))) {
        return st;
    }
    st = find_through(s, &found);
    if (st == SL_OK) {
        put_out(s, &found);
    }
    return st;
}

static sl_status look_at_all_lost(sl__sneak_search *s)
{
    sl_edit *edits = sl__new(&s->al, (size_t)s->loads + 1, sizeof *edits);
    sl_status st = edits ? SL_OK : SL_E_NOMEM;
    for (int32_t lost = 0; lost < s->lost_count && st == SL_OK; lost++) {
        for (int32_t u = 0; u < s->user_count && st == SL_OK; u++) {
            st = look_at_lost(s, lost, u, edits);
        }
        st = st == SL_OK ? sl__sneak_tell(s, 3, lost + 1, s->lost_count) : st;
    }
    sl__free(&s->al, edits, (size_t)s->loads + 1, sizeof *edits);
    return st;
}

/* One search: with all parts good over the switches, or over the conductors that are lost. */
static sl_status search_over(sl__sneak_search *s, bool lost)
{
    sl_status st = sl__sneak_solve(s, lost);
    if (st == SL_OK) {
        st = lost ? look_at_all_lost(s) : look_at_users(s);
    }
    sl__sneak_search_free(s);
    return st;
}

sl_status sl_circuit_find_sneaks(const sl_circuit *circuit,
                                 bool (*progress)(void *user, int64_t done, int64_t of), void *user,
                                 sl_sneak *out, int32_t room, int32_t *count)
{
    const sl__sneak_search fresh = {.al = circuit->al,
                                    .circuit = circuit,
                                    .out = out,
                                    .room = room,
                                    .progress = progress,
                                    .user = user};
    sl__sneak_search search = fresh;
    sl_status st = search_over(&search, false);
    if (st == SL_OK) {
        const int32_t found = search.count;
        const int64_t told = search.told;
        search = fresh;
        search.count = found;
        search.told = told;
        st = search_over(&search, true);
    }
    if (st == SL_OK || st == SL_E_STOPPED) {
        *count = search.count;
    }
    return st;
}
