/* lib/solve/settle.c: relays and solenoids, moved one at a time in the order of their timers.

   Every part that wants another state starts its timer; one that is content again stops it; the
   earliest to run out moves, and the circuit is solved again. When a moment comes back, with the
   same states and the same timers, nothing ever settles: it chatters. So it does when there is no
   end to it. */
#include <math.h>
#include <string.h>

#include "solve/solve.h"

#define MICROSECOND 1e-6

void sl__flows(const sl_case *cs, const sl__answer *answer, sl_part part, sl__flow *flow)
{
    int32_t first = cs->branch_at[part], last = cs->branch_at[part + 1];
    for (int32_t k = first; k < last; k++) {
        flow[k - first] = (sl__flow){answer->u[k], sl__pair_value(answer->i[k]), 0.0};
    }
    for (int32_t k = cs->elements; k < cs->branches; k++) {
        int32_t of = cs->branch[k].series_with;
        if (of >= first && of < last) {
            flow[of - first].added_v += answer->u[k];
        }
    }
}

static int32_t wanted(const sl_case *cs, const sl__answer *answer, sl_part part)
{
    sl__flow flow[SL__ELEMENTS_MOST];
    sl__flows(cs, answer, part, flow);
    return sl__case_part(cs, part)->kind->wants(sl__case_values(cs, part), cs->celsius,
                                                cs->state[part], flow);
}

/* A moment before now in which every part was in the state it is in; -1 when there is none. */
static int32_t seen(const sl_case *cs)
{
    const int32_t count = cs->stateful_count;
    for (int32_t m = 0; m < cs->moments; m++) {
        const int32_t *state = cs->past_state + (ptrdiff_t)m * count;
        int32_t s = 0;
        while (s < count && state[s] == cs->state[cs->stateful[s]]) {
            s++;
        }
        if (s == count) {
            return m;
        }
    }
    return -1;
}

sl_status sl__settle_ask(sl_case *cs, sl__answer *answer)
{
    const int32_t count = cs->stateful_count, before = seen(cs);
    if (before >= 0) {
        const ptrdiff_t at = (ptrdiff_t)before * count;
        memcpy(cs->wish, cs->past_wish + at, (size_t)count * sizeof *cs->wish);
        memcpy(cs->delay, cs->past_delay + at, (size_t)count * sizeof *cs->delay);
        return SL_OK;
    }
    sl_status st = sl__trimmed(cs, answer);
    for (int32_t s = 0; st == SL_OK && s < count; s++) {
        sl_part p = cs->stateful[s];
        const sl__kind *kind = sl__case_part(cs, p)->kind;
        cs->wish[s] = wanted(cs, answer, p);
        cs->delay[s] = 0;
        if (cs->wish[s] != cs->state[p]) {
            double delay_s = kind->delay_s(sl__case_values(cs, p), cs->state[p], cs->wish[s]);
            cs->delay[s] = (int64_t)llround(delay_s / MICROSECOND);
        }
    }
    return st;
}

int32_t sl__settle_timers(sl_case *cs)
{
    int32_t running = 0;
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        if (cs->wish[s] == cs->state[cs->stateful[s]]) {
            cs->timer[s] = -1;
        } else if (cs->timer[s] < 0 || cs->want[s] != cs->wish[s]) {
            cs->timer[s] = cs->delay[s];
        }
        cs->want[s] = cs->wish[s];
        running += cs->timer[s] >= 0;
    }
    return running;
}

/* Writes down this moment; returns an earlier one that was just like it, or -1. */
static int32_t remember(sl_case *cs, int64_t now)
{
    int32_t count = cs->stateful_count, moment = cs->moments++;
    int32_t *state = cs->past_state + (ptrdiff_t)moment * count;
    int64_t *timer = cs->past_timer + (ptrdiff_t)moment * count;
    for (int32_t s = 0; s < count; s++) {
        state[s] = cs->state[cs->stateful[s]];
        timer[s] = cs->timer[s];
    }
    memcpy(cs->past_wish + (ptrdiff_t)moment * count, cs->wish, (size_t)count * sizeof *cs->wish);
    memcpy(cs->past_delay + (ptrdiff_t)moment * count, cs->delay,
           (size_t)count * sizeof *cs->delay);
    cs->past_time[moment] = now;
    for (int32_t m = 0; m < moment; m++) {
        if (memcmp(cs->past_state + (ptrdiff_t)m * count, state, (size_t)count * sizeof *state) ==
                0 &&
            memcmp(cs->past_timer + (ptrdiff_t)m * count, timer, (size_t)count * sizeof *timer) ==
                0) {
            return m;
        }
    }
    return -1;
}

int32_t sl__settle_first(const sl_case *cs)
{
    int32_t first = -1;
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        if (cs->timer[s] >= 0 && (first < 0 || cs->timer[s] < cs->timer[first])) {
            first = s;
        }
    }
    return first;
}

int64_t sl__settle_move(sl_case *cs, int32_t first)
{
    int64_t passed = cs->timer[first];
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        cs->timer[s] -= cs->timer[s] >= 0 ? passed : 0;
    }
    cs->state[cs->stateful[first]] = cs->want[first];
    cs->timer[first] = -1;
    cs->flips++;
    return passed;
}

/* Of the moments of a cycle, the one with the fewest (sign 1) or most (sign -1) of the moving parts
   out of their first state; states are set to it. */
static void set_extreme(sl_case *cs, int32_t begin, int32_t end, int32_t sign)
{
    int32_t best = begin, best_count = INT32_MAX;
    for (int32_t m = begin; m < end; m++) {
        int32_t count = 0;
        for (int32_t s = 0; s < cs->stateful_count; s++) {
            bool moved = cs->past_state[m * cs->stateful_count + s] != 0;
            count += cs->chatters[cs->stateful[s]] && moved ? sign : 0;
        }
        if (count < best_count) {
            best_count = count;
            best = m;
        }
    }
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        cs->state[cs->stateful[s]] = cs->past_state[best * cs->stateful_count + s];
    }
}

/* How often the part moves that moves most. */
static int32_t most_moves(const sl_case *cs, int32_t begin, int32_t end)
{
    int32_t most = 0;
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        int32_t moves = 0;
        for (int32_t m = begin + 1; m < end; m++) {
            const int32_t *now = cs->past_state + (ptrdiff_t)m * cs->stateful_count;
            moves += now[s] != now[s - cs->stateful_count];
        }
        most = moves > most ? moves : most;
    }
    return most;
}

/* Nothing settles: which parts move in the moments from begin up to end, and the answers at its two
   ends. */
static sl_status report_chatter(sl_case *cs, int32_t begin, int32_t end, double period_s)
{
    for (int32_t m = begin; m < end; m++) {
        for (int32_t s = 0; s < cs->stateful_count; s++) {
            int32_t now = cs->past_state[m * cs->stateful_count + s];
            int32_t first = cs->past_state[begin * cs->stateful_count + s];
            cs->chatters[cs->stateful[s]] = cs->chatters[cs->stateful[s]] || now != first;
        }
    }
    cs->outcome = SL_CHATTERS;
    cs->period_s = period_s;
    set_extreme(cs, begin, end, 1);
    sl_status st = sl__trimmed(cs, &cs->answer[0]);
    if (st != SL_OK) {
        return st;
    }
    set_extreme(cs, begin, end, -1);
    return sl__trimmed(cs, &cs->answer[1]);
}

/* Delays vary from one relay to the next by less than this: a breaker of seconds never overtakes a
   solenoid of milliseconds. */
#define DELAY_SPREAD 10.0

/* Of the parts that want to move, those stay still that cannot be among the next. With `one`, all
   but the slowest of the others stay still too; of equals, the last moves. */
static void hold_back(sl_case *cs, bool one)
{
    int32_t slowest = -1;
    int64_t shortest = INT64_MAX, longest = 0;
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        if (cs->wish[s] != cs->state[cs->stateful[s]] && cs->delay[s] < shortest) {
            shortest = cs->delay[s];
        }
    }
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        const int32_t state = cs->state[cs->stateful[s]];
        if (cs->wish[s] != state && (double)cs->delay[s] > DELAY_SPREAD * (double)shortest) {
            cs->wish[s] = state;
        } else if (cs->wish[s] != state && cs->delay[s] >= longest) {
            slowest = s;
            longest = cs->delay[s];
        }
    }
    for (int32_t s = 0; one && s < cs->stateful_count; s++) {
        cs->wish[s] = s == slowest ? cs->wish[s] : cs->state[cs->stateful[s]];
    }
}

/* Another order: what may move next moves at once, or the slowest of it first. Does it end in
   another state than the one in answer[0]? Not settling at all, or passing through a state without
   an answer, counts as no. */
static sl_status try_order(sl_case *cs, bool at_once, bool *differs)
{
    *differs = false;
    memcpy(cs->state, cs->start, (size_t)cs->parts * sizeof *cs->state);
    for (int32_t round = 0; round < cs->moment_room; round++) {
        if (memcmp(cs->state, cs->answer[0].state, (size_t)cs->parts * sizeof *cs->state) == 0) {
            break;
        }
        sl_status st = sl__settle_ask(cs, &cs->answer[1]);
        if (st != SL_OK) {
            return st == SL_E_NOMEM ? st : SL_OK;
        }
        bool moved = false;
        for (int32_t s = 0; s < cs->stateful_count; s++) {
            moved = moved || cs->wish[s] != cs->state[cs->stateful[s]];
        }
        if (!moved) {
            *differs = true;
            break;
        }
        hold_back(cs, !at_once);
        for (int32_t s = 0; s < cs->stateful_count; s++) {
            cs->state[cs->stateful[s]] = cs->wish[s];
        }
    }
    return SL_OK;
}

static sl_status check_timing(sl_case *cs)
{
    bool differs = false;
    for (int at_once = 0; at_once < 2 && !differs; at_once++) {
        sl_status st = try_order(cs, at_once, &differs);
        if (st != SL_OK) {
            return st;
        }
    }
    memcpy(cs->state, cs->answer[0].state, (size_t)cs->parts * sizeof *cs->state);
    cs->outcome = differs ? SL_TIMING : SL_SETTLED;
    return SL_OK;
}

/* Moves parts until they are content, from cs->state on. *raced: at some moment more than one
   wanted to move; otherwise no order but this one is possible. */
static sl_status settle_here(sl_case *cs, bool *raced)
{
    *raced = false;
    int64_t now = 0;
    memcpy(cs->start, cs->state, (size_t)cs->parts * sizeof *cs->start);
    memset(cs->chatters, 0, (size_t)cs->parts * sizeof *cs->chatters);
    cs->outcome = SL_SETTLED;
    cs->period_s = 0.0;
    cs->flips = cs->moments = 0;
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        cs->timer[s] = -1;
    }
    for (;;) {
        sl_status st = sl__settle_ask(cs, &cs->answer[0]);
        int32_t running = st == SL_OK ? sl__settle_timers(cs) : 0;
        if (running == 0) {
            return st;
        }
        *raced = *raced || running > 1;
        const int32_t moment = cs->moments;
        if (moment == cs->moment_room) {
            /* Several chatter, each at its own pace: the mean period of the fastest. */
            int32_t begin = moment / 2, most = most_moves(cs, begin, moment);
            int64_t passed = cs->past_time[moment - 1] - cs->past_time[begin];
            return report_chatter(cs, begin, moment, 2.0 * (double)passed / most * MICROSECOND);
        }
        int32_t before = remember(cs, now);
        if (before >= 0) {
            return report_chatter(cs, before, moment,
                                  (double)(now - cs->past_time[before]) * MICROSECOND);
        }
        now += sl__settle_move(cs, sl__settle_first(cs));
    }
}

/* How far back the history of a condition goes. */
static int32_t depth_of(const sl_case *cs, sl_condition condition)
{
    int32_t depth = 0;
    for (; condition != SL_NONE; condition = cs->circuit->condition[condition].after) {
        depth++;
    }
    return depth;
}

sl_status sl__settle(sl_case *cs)
{
    bool raced = false;
    for (int32_t depth = depth_of(cs, cs->condition), k = depth - 1; k >= 0; k--) {
        sl_condition condition = cs->condition;
        for (int32_t back = 0; back < k; back++) {
            condition = cs->circuit->condition[condition].after;
        }
        sl_status st = sl__laws_values(cs, condition);
        if (st != SL_OK) {
            return st;
        }
        if (k == depth - 1) {
            sl__laws_start(cs);
        }
        if ((st = settle_here(cs, &raced)) != SL_OK) {
            return st;
        }
    }
    sl_status st = cs->outcome == SL_SETTLED && raced && !cs->one_order ? check_timing(cs) : SL_OK;
    sl__trim_show(cs, &cs->answer[0]);
    return st;
}
