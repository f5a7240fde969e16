/* lib/analysis/draw.c: samples at random, on several threads, the same on any number of them.

   Sample k is worked out from the seed and k alone. Hands take blocks of samples in turn; what they
   found is added up block by block, in the order of the blocks. */
#include <math.h>
#include <pthread.h>
#include <string.h>

#include "analysis/band.h"
#include "analysis/counter.h"
#include "analysis/tally.h"
#include "base/memory.h"

#define BLOCK 256
#define SAMPLES_MOST INT64_C(1000000000000)
#define THREADS_MOST 256

/* The two-sided 95 % point of the normal distribution. */
#define Z_95 1.959963984540054

typedef struct crew {
    sl_band *band;
    const sl_draw *how;
    sl_alloc outer; /* the caller's, for one at a time */
    pthread_mutex_t lock;
    pthread_cond_t turn;
    int64_t blocks, next, done; /* blocks handed out and added up */
    bool stop;
    int64_t unsolved, chatters, failed;
    sl__tally *tally;
} crew;

/* One thread, with a case of its own. */
typedef struct hand {
    crew *of;
    sl_case *cs;
    sl__vary vary;
    pthread_t thread;
    bool first;          /* on the caller's own thread */
    double value[BLOCK]; /* NaN: no answer */
    int64_t chatters;
    int64_t *ended; /* as in the band, of one block */
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

/* Samples of one block. */
static void work(hand *h, int64_t block)
{
    const sl_draw *how = h->of->how;
    const sl_band *band = h->of->band;
    int64_t first = block * BLOCK,
            count = how->samples - first < BLOCK ? how->samples - first : BLOCK;
    memset(h->ended, 0, (size_t)band->state_at[h->cs->parts] * sizeof *h->ended);
    h->chatters = 0;
    for (int64_t k = 0; k < count; k++) {
        place_sample(band, &h->vary, how->seed, how->shape, first + k);
        h->value[k] = SL__NAN;
        if (sl__band_solve(band, h->cs, &h->value[k]) != SL_OK) {
            h->value[k] = SL__NAN;
            continue;
        }
        h->chatters += h->cs->outcome == SL_CHATTERS;
        for (int32_t s = 0; s < h->cs->stateful_count; s++) {
            sl_part p = h->cs->stateful[s];
            h->ended[band->state_at[p] + h->cs->answer[0].state[p]]++;
        }
    }
}

/* Adds up a block; the lock is held, and every block before it is in. */
static void add_up(crew *c, const hand *h)
{
    int64_t first = c->done * BLOCK;
    int64_t count = c->how->samples - first < BLOCK ? c->how->samples - first : BLOCK;
    for (int64_t k = 0; k < count; k++) {
        double value = h->value[k];
        if (isnan(value)) {
            c->unsolved++;
        } else {
            sl__tally_add(c->tally, value);
            c->failed += value < c->how->least || value > c->how->greatest;
        }
    }
    c->chatters += h->chatters;
    for (int32_t s = 0; s < c->band->state_at[h->cs->parts]; s++) {
        c->band->ended[s] += h->ended[s];
    }
    c->done++;
}

/* Block after block, until there are no more. The first hand is the caller's own thread, and tells
   how far it all is; the lock is held then, so that nobody allocates beside the caller. */
static void *run(void *user)
{
    hand *h = user;
    crew *c = h->of;
    bool tells = h->first && c->how->progress;
    pthread_mutex_lock(&c->lock);
    while (!c->stop && c->next < c->blocks) {
        int64_t block = c->next++;
        pthread_mutex_unlock(&c->lock);
        work(h, block);
        pthread_mutex_lock(&c->lock);
        while (!c->stop && c->done != block) {
            pthread_cond_wait(&c->turn, &c->lock);
        }
        if (!c->stop) {
            add_up(c, h);
            int64_t done = c->done * BLOCK < c->how->samples ? c->done * BLOCK : c->how->samples;
            c->stop = tells && !c->how->progress(c->how->user, done, c->how->samples);
        }
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
    int64_t samples = c->done * BLOCK < c->how->samples ? c->done * BLOCK : c->how->samples;
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
    h->ended = sl__arena_take(arena, band->state_at[band->cs->parts], sizeof *h->ended);
    if (arena->failed) {
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
        sl_case_free(hands[i].cs);
    }
    return st;
}

sl_status sl_band_draw(sl_band *band, const sl_draw *how, sl_drawn *out)
{
    if (how->samples < 1 || how->samples > SAMPLES_MOST || how->threads < 1 ||
        how->threads > THREADS_MOST || isnan(how->least) || isnan(how->greatest)) {
        return sl__fail(&band->message, SL_E_ARG,
                        "1 to 10^12 samples on 1 to 256 threads, and limits that are numbers");
    }
    sl__arena arena = {.al = &band->al};
    crew *c = sl__arena_take(&arena, 1, sizeof *c);
    if (!c) {
        return sl__fail(&band->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    *c = (crew){.band = band, .how = how, .outer = band->al};
    c->blocks = (how->samples + BLOCK - 1) / BLOCK;
    pthread_mutex_init(&c->lock, NULL);
    pthread_cond_init(&c->turn, NULL);
    memset(band->ended, 0, (size_t)band->state_at[band->cs->parts] * sizeof *band->ended);
    sl_status st = draw(c, &arena);
    st = st == SL_OK ? report(c, out) : sl__fail(&band->message, st, "%s", sl_status_text(st));
    pthread_cond_destroy(&c->turn);
    pthread_mutex_destroy(&c->lock);
    sl__arena_clear(&arena);
    return st;
}

int64_t sl_band_ended(const sl_band *band, sl_part part, int32_t state)
{
    bool known = part >= 0 && part < band->cs->parts && state >= 0 &&
                 state < band->state_at[part + 1] - band->state_at[part];
    return known ? band->ended[band->state_at[part] + state] : 0;
}

sl_status sl_band_sample(sl_band *band, uint64_t seed, sl_shape shape, int64_t index, double *value)
{
    place_sample(band, &band->vary, seed, shape, index);
    band->cs->vary = &band->vary;
    band->cs->one_order = true;
    sl_status st = sl__band_solve(band, band->cs, value);
    return st == SL_OK ? st : sl__fail(&band->message, st, "%s", sl_case_message(band->cs));
}
