/* lib/analysis/draw.c: samples at random, on several threads, the same on any number of them.

   Sample k is worked out from the seed and k alone: eight at a time where there is a plan (lot.h),
   else, and where that leaves one out, by itself. Hands take blocks of samples in turn and lay what
   they found on a ring; it is added up block by block, in the order of the blocks, by whoever comes
   by. So nobody waits for a slower one but when the ring is full. */
#include <math.h>
#include <pthread.h>
#include <string.h>
#include <time.h>

#include "analysis/band.h"
#include "analysis/tally.h"
#include "base/memory.h"

/* The most samples of a block: many where samples that go a seldom way are still to fill lots, few
   where they all go one; and no hand is to wait long for the last one. */
#define BLOCK SL__LOTS_MOST
#define BLOCK_OF_ONE_WAY 256
#define BLOCKS_PER_HAND 16
#define SAMPLES_MOST INT64_C(1000000000000)
#define THREADS_MOST 256
#define RING_PER_HAND 4

/* Seconds between two calls of what wants to know how far it is. */
#define TELL_S 0.02

/* The two-sided 95 % point of the normal distribution. */
#define Z_95 1.959963984540054

/* What was found in a block. */
typedef struct found {
    bool ready;
    double value[BLOCK]; /* NaN: no answer */
    double other[BLOCK]; /* the other end of a chatter, NaN where it settles; not set without any */
    int32_t plan[BLOCK];
    int64_t chatters, whole;
    int64_t *ended; /* as in the band */
} found;

typedef struct crew {
    sl_band *band;
    const sl_draw *how;
    sl_alloc outer; /* the caller's, for one at a time */
    pthread_mutex_t lock;
    pthread_cond_t turn;
    int64_t block, blocks, next, done; /* samples of one; blocks handed out and added up */
    bool stop;                         /* read without the lock too */
    int32_t room;                      /* of the ring */
    found *ring;
    int64_t unsolved, chatters, failed, whole;
    sl__tally *tally;
} crew;

/* One thread, with a case of its own. */
typedef struct hand {
    crew *of;
    sl_case *cs;
    sl__lots *lots;
    sl__vary vary;
    pthread_t thread;
    bool first; /* on the caller's own thread */
    double told_s;
} hand;

/* Hands share the caller's allocator, which need not know threads. */
static void *one_at_a_time(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    crew *c = user;
    pthread_mutex_lock(&c->lock);
    void *grown = c->outer.resize(c->outer.user, block, old_bytes, new_bytes);
    pthread_mutex_unlock(&c->lock);
    return grown;
}

static void place_sample(const sl_band *band, sl__vary *vary, uint64_t seed, sl_shape shape,
                         int64_t index)
{
    for (int32_t k = 0; k < band->count; k++) {
        sl__band_place(band, vary, k, sl__counter_draw(seed, index, k, shape));
    }
}

/* How many samples are to be a block. What comes out does not depend on it. */
static int64_t block_of(const sl_band *band, const sl_draw *how)
{
    const int64_t most = sl__plans_count(band->plans) > 1 ? BLOCK : BLOCK_OF_ONE_WAY;
    const int64_t each = how->samples / BLOCKS_PER_HAND / how->threads / SL__LANES * SL__LANES;
    return each < SL__LANES ? SL__LANES : each < most ? each : most;
}

static int64_t samples_of(const crew *c, int64_t block)
{
    const int64_t left = c->how->samples - block * c->block;
    return left < c->block ? left : c->block;
}

/* The reading of a sample that has just been solved; at both ends where it chatters. */
static void take_reading(const sl_case *cs, const double end[2], found *out, int64_t at)
{
    out->value[at] = end[0];
    if (cs->outcome != SL_CHATTERS) {
        return;
    }
    if (out->chatters++ == 0) {
        for (int64_t k = 0; k < BLOCK; k++) {
            out->other[k] = SL__NAN;
        }
    }
    out->other[at] = end[1];
    if (isnan(end[1])) { /* what only one end has is no reading to judge it by */
        out->value[at] = SL__NAN;
    }
}

/* Sample `at` of the block that starts at `first`, whole. */
static void solve_whole(hand *h, int64_t first, found *out, int64_t at)
{
    const sl_band *band = h->of->band;
    double end[2];
    place_sample(band, &h->vary, h->of->how->seed, h->of->how->shape, first + at);
    out->whole++;
    if (sl__band_ends(band, h->cs, end) != SL_OK) {
        out->value[at] = SL__NAN;
        return;
    }
    take_reading(h->cs, end, out, at);
    for (int32_t s = 0; s < h->cs->stateful_count; s++) {
        const sl_part p = h->cs->stateful[s];
        out->ended[h->cs->chatters[p] ? band->state_at[p + 1] - 1
                                      : band->state_at[p] + h->cs->answer[0].state[p]]++;
    }
}

/* A sample ended as its plan does. */
static void count_ends(const sl_band *band, int32_t plan, found *out)
{
    const int32_t *state = sl__plan_ends(sl__plans_at(band->plans, plan));
    for (int32_t s = 0; s < band->cs->stateful_count; s++) {
        const sl_part p = band->cs->stateful[s];
        out->ended[band->state_at[p] + state[p]]++;
    }
}

/* Samples of one block. False: stopped before all were done. */
static bool work(hand *h, int64_t block, found *out)
{
    crew *c = h->of;
    const sl_draw *how = c->how;
    const sl_band *band = c->band;
    const int64_t first = block * c->block, count = samples_of(c, block);
    memset(out->ended, 0, (size_t)band->state_at[band->cs->parts] * sizeof *out->ended);
    out->chatters = out->whole = 0;
    sl__lots_solve(h->lots, how->seed, how->shape, first, (int32_t)count, out->value, out->plan);
    for (int64_t k = 0; k < count; k++) {
        if (__atomic_load_n(&c->stop, __ATOMIC_RELAXED)) {
            return false;
        }
        if (out->plan[k] < 0) {
            solve_whole(h, first, out, k);
        } else {
            count_ends(band, out->plan[k], out);
        }
    }
    return true;
}

static bool outside(const crew *c, double value)
{
    return value < c->how->least || value > c->how->greatest;
}

/* Adds up the next block of the ring; the lock is held. */
static void add_up(crew *c)
{
    found *next = &c->ring[c->done % c->room];
    const int64_t count = samples_of(c, c->done);
    for (int64_t k = 0; k < count; k++) {
        const double value = next->value[k], other = next->chatters > 0 ? next->other[k] : SL__NAN;
        if (isnan(value)) {
            c->unsolved++;
            continue;
        }
        sl__tally_add(c->tally, value);
        if (!isnan(other)) {
            sl__tally_add(c->tally, other);
        }
        c->failed += outside(c, value) || outside(c, other); /* NaN is not */
    }
    c->chatters += next->chatters;
    c->whole += next->whole;
    for (int32_t s = 0; s < c->band->state_at[c->band->cs->parts]; s++) {
        c->band->ended[s] += next->ended[s];
    }
    next->ready = false;
    c->done++;
}

static int64_t samples_done(const crew *c)
{
    return c->done * c->block < c->how->samples ? c->done * c->block : c->how->samples;
}

/* Waits for a block to do and room for it; the lock is held. False: there is no more. */
static bool take_block(crew *c, int64_t *block)
{
    while (!c->stop && c->next < c->blocks && c->next - c->done >= c->room) {
        pthread_cond_wait(&c->turn, &c->lock);
    }
    if (c->stop || c->next >= c->blocks) {
        return false;
    }
    *block = c->next++;
    return true;
}

static double now_s(void)
{
    struct timespec t = {0};
    timespec_get(&t, TIME_UTC);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Tells how far it is, now and then; the lock is held. */
static void tell(hand *h)
{
    crew *c = h->of;
    const double now = now_s();
    if (h->first && c->how->progress && !c->stop && fabs(now - h->told_s) >= TELL_S) {
        h->told_s = now;
        const bool stop = !c->how->progress(c->how->user, samples_done(c), c->how->samples);
        __atomic_store_n(&c->stop, stop, __ATOMIC_RELAXED);
    }
}

/* Block after block, until there are no more. The first hand is the caller's own thread, and tells
   how far it all is; the lock is held then, so that nobody allocates beside the caller. */
static void *run(void *user)
{
    hand *h = user;
    crew *c = h->of;
    int64_t block;
    pthread_mutex_lock(&c->lock);
    while (take_block(c, &block)) {
        found *out = &c->ring[block % c->room];
        pthread_mutex_unlock(&c->lock);
        const bool whole = work(h, block, out);
        pthread_mutex_lock(&c->lock);
        out->ready = whole;
        while (c->done < c->next && c->ring[c->done % c->room].ready) {
            add_up(c);
        }
        tell(h);
        pthread_cond_broadcast(&c->turn);
    }
    pthread_mutex_unlock(&c->lock);
    return NULL;
}

/* The share that fails and its interval. */
static void find_share(sl_drawn *out)
{
    double n = (double)(out->samples - out->unsolved), p = (double)out->failed / n;
    double middle = (p + Z_95 * Z_95 / (2.0 * n)) / (1.0 + Z_95 * Z_95 / n);
    double half =
        Z_95 * sqrt(p * (1.0 - p) / n + Z_95 * Z_95 / (4.0 * n * n)) / (1.0 + Z_95 * Z_95 / n);
    out->share = p;
    out->share_low = out->failed == 0 ? 0.0 : fmax(middle - half, 0.0);
    out->share_high = p == 1.0 ? 1.0 : fmin(middle + half, 1.0);
}

static sl_status report(const crew *c, sl_drawn *out)
{
    static const double shares[7] = {0.001, 0.025, 0.1, 0.5, 0.9, 0.975, 0.999};
    const sl__tally *tally = c->tally;
    const int64_t samples = samples_done(c);
    if (samples == 0) {
        return sl__fail(&c->band->message, SL_E_CONVERGENCE,
                        "stopped before the first samples were done");
    }
    if (tally->count == 0) {
        return sl__fail(&c->band->message, SL_E_CONVERGENCE,
                        "none of %lld samples has an answer: the spreads lead where the circuit "
                        "cannot be solved",
                        (long long)samples);
    }
    *out = (sl_drawn){.samples = samples,
                      .unsolved = c->unsolved,
                      .chatters = c->chatters,
                      .failed = c->failed,
                      .whole = c->whole,
                      .mean = tally->mean,
                      .deviation = sl__tally_deviation(tally),
                      .least = tally->least,
                      .greatest = tally->greatest,
                      .step = tally->step};
    for (int i = 0; i < 7; i++) {
        out->percentile[i] = sl__tally_percentile(tally, shares[i]);
    }
    find_share(out);
    return SL_OK;
}

/* Makes a hand's case and its own copy of what varies. */
static sl_status make_hand(crew *c, hand *h, sl__arena *arena, const sl_alloc *locked)
{
    const sl_band *band = c->band;
    h->of = c;
    h->vary = band->vary;
    h->vary.item = sl__arena_take(arena, band->vary.count, sizeof *h->vary.item);
    if (arena->failed || sl__lots_new(locked, band->plans, &h->lots) != SL_OK) {
        return SL_E_NOMEM;
    }
    if (band->vary.count > 0) {
        memcpy(h->vary.item, band->vary.item, (size_t)band->vary.count * sizeof *h->vary.item);
    }
    sl_status st = sl__case_twin(band->cs, locked, &h->cs);
    if (st == SL_OK) {
        h->cs->vary = &h->vary;
        h->cs->one_order = true;
    }
    return st;
}

static sl_status draw(crew *c, sl__arena *arena)
{
    const sl_alloc locked = {one_at_a_time, c};
    int32_t count = c->how->threads < c->blocks ? c->how->threads : (int32_t)c->blocks;
    hand *hands = sl__arena_take(arena, count, sizeof *hands);
    c->room = RING_PER_HAND * count;
    c->ring = sl__arena_take(arena, c->room, sizeof *c->ring);
    for (int32_t k = 0; c->ring && k < c->room; k++) {
        c->ring[k].ended =
            sl__arena_take(arena, c->band->state_at[c->band->cs->parts], sizeof *c->ring[k].ended);
    }
    c->tally = sl__arena_take(arena, 1, sizeof *c->tally);
    sl_status st = arena->failed ? SL_E_NOMEM : SL_OK;
    for (int32_t i = 0; i < count && st == SL_OK; i++) {
        st = make_hand(c, &hands[i], arena, &locked);
    }
    if (st == SL_OK) {
        int32_t running = 1; /* where there are no more threads to be had, fewer do */
        while (running < count &&
               pthread_create(&hands[running].thread, NULL, run, &hands[running]) == 0) {
            running++;
        }
        hands[0].first = true;
        run(&hands[0]);
        for (int32_t i = 1; i < running; i++) {
            pthread_join(hands[i].thread, NULL);
        }
    }
    for (int32_t i = 0; hands && i < count; i++) {
        sl__lots_free(hands[i].lots);
        sl_case_free(hands[i].cs);
    }
    return st;
}

/* Plans are made when they are first wanted. */
static sl_status make_plans(sl_band *band)
{
    return band->plans ? SL_OK
                       : sl__plans_new(&band->al, band->cs, &band->vary, &band->of, &band->plans);
}

sl_status sl_band_draw(sl_band *band, const sl_draw *how, sl_drawn *out)
{
    if (how->samples < 1 || how->samples > SAMPLES_MOST || how->threads < 1 ||
        how->threads > THREADS_MOST || isnan(how->least) || isnan(how->greatest)) {
        return sl__fail(&band->message, SL_E_ARG,
                        "1 to 10^12 samples on 1 to 256 threads, and limits that are numbers");
    }
    sl_status st = make_plans(band);
    if (st != SL_OK) {
        return sl__fail(&band->message, st, "%s", sl_status_text(st));
    }
    sl__arena arena = {.al = &band->al};
    crew *c = sl__arena_take(&arena, 1, sizeof *c);
    if (!c) {
        return sl__fail(&band->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    *c = (crew){.band = band, .how = how, .outer = band->al};
    c->block = block_of(band, how);
    c->blocks = (how->samples + c->block - 1) / c->block;
    pthread_mutex_init(&c->lock, NULL);
    pthread_cond_init(&c->turn, NULL);
    memset(band->ended, 0, (size_t)band->state_at[band->cs->parts] * sizeof *band->ended);
    st = draw(c, &arena);
    st = st == SL_OK ? report(c, out) : sl__fail(&band->message, st, "%s", sl_status_text(st));
    pthread_cond_destroy(&c->turn);
    pthread_mutex_destroy(&c->lock);
    sl__arena_clear(&arena);
    return st;
}

int64_t sl_band_ended(const sl_band *band, sl_part part, int32_t state)
{
    if (part < 0 || part >= band->cs->parts) {
        return 0;
    }
    const int32_t from = band->state_at[part], count = band->state_at[part + 1] - from - 1;
    bool known = state >= -1 && state < count;
    return known ? band->ended[from + (state < 0 ? count : state)] : 0;
}

/* The reading of a sample as a lot has it. *answered: it has one. */
static sl_status sample_in_lot(sl_band *band, uint64_t seed, sl_shape shape, int64_t index,
                               double *value, bool *answered)
{
    int32_t plan = -1;
    sl__lots *lots = NULL;
    sl_status st = make_plans(band);
    st = st == SL_OK ? sl__lots_new(&band->al, band->plans, &lots) : st;
    if (st == SL_OK) {
        sl__lots_solve(lots, seed, shape, index, 1, value, &plan);
    }
    *answered = plan >= 0;
    sl__lots_free(lots);
    return st;
}

sl_status sl_band_sample(sl_band *band, uint64_t seed, sl_shape shape, int64_t index, double *value)
{
    double whole, in_lot = SL__NAN;
    bool answered;
    sl_status st = sample_in_lot(band, seed, shape, index, &in_lot, &answered);
    if (st != SL_OK) {
        return sl__fail(&band->message, st, "%s", sl_status_text(st));
    }
    place_sample(band, &band->vary, seed, shape, index);
    band->cs->vary = &band->vary;
    band->cs->one_order = true;
    st = sl__band_solve(band, band->cs, &whole);
    if (st != SL_OK) {
        return sl__fail(&band->message, st, "%s", sl_case_message(band->cs));
    }
    *value = answered ? in_lot : whole;
    return SL_OK;
}
