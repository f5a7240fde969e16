/* lib/analysis/sneak_search.h: every state of a circuit that a search for sneak paths looks at:
   each switch in each position in each condition, with all conductors good or each of them open,
   and what everything that uses current has there.

   The cases of a condition: as it is; the moves, each one switch in one position; and for each
   conductor open the same again. */
#ifndef SL_ANALYSIS_SNEAK_SEARCH_H
#define SL_ANALYSIS_SNEAK_SEARCH_H

#include "strapline/contrast.h"
#include "strapline/sneak.h"

/* Something that uses current: an element of a load, or a coil. */
typedef struct sl__sneak_user {
    sl_part part;
    int32_t element;
} sl__sneak_user;

typedef struct sl__sneak_search {
    sl_alloc al;
    const sl_circuit *circuit;
    sl_sweep *sweep;     /* every state; readings: volts and amperes of every user, and amperes of
                            every element of the conductors */
    sl_switching *state; /* [state_room] by fault of the sweep */
    int32_t state_count, state_room, moves;
    sl_part *lost; /* [lost_room] conductors */
    int32_t lost_count, lost_room;
    bool *carries; /* [cases][lost_count] of cases with all conductors good: it carries a current */
    sl__sneak_user *users; /* [user_room] */
    int32_t user_count, user_room;
    double *volts, *amps; /* [cases][users] */
    bool *solved;         /* [cases] */
    double *alone; /* [cases] volts of one user with the other loads unplugged; of cases in which
                      it is fed */
    int64_t cases;
    sl_edit *unplug; /* [loads] */
    int32_t loads;
    sl_sneak *out;
    int32_t room, count;
    bool (*progress)(void *user, int64_t done, int64_t of);
    void *user;
    int64_t told;
} sl__sneak_search;

/* The state of a condition in which nothing is moved and nothing is lost. */
sl_switching sl__sneak_as_it_is(sl_condition condition);

/* What is moved or lost in a case. */
sl_switching sl__sneak_switching(const sl__sneak_search *s, int64_t index);

/* The case of the same condition and the same switches with all conductors good. */
int64_t sl__sneak_good(const sl__sneak_search *s, int64_t index);

/* Fills the tables; with the conductors open too, or only with all of them good. Cases that are the
   same as another one, a switch being moved to where it is, stay without an answer. */
sl_status sl__sneak_solve(sl__sneak_search *s, bool lost);

/* Tells that so much of a phase is done: of the two searches each solves, and then looks.
   SL_E_STOPPED: it is not to go on. */
enum { SL__SNEAK_PHASES = 4 };
sl_status sl__sneak_tell(sl__sneak_search *s, int phase, int64_t done, int64_t of);

/* Does a user have voltage and current to speak of in a case? */
bool sl__sneak_is_fed(const sl__sneak_search *s, int64_t index, int32_t user);

/* Fills alone[] of a user: each state in which it is fed, with the other loads unplugged. edits:
   [loads + 1] room. */
sl_status sl__sneak_alone(sl__sneak_search *s, int32_t user, sl_edit *edits);

/* Edits that unplug every load but one part: [loads] at most. */
int32_t sl__sneak_unplug_others(const sl__sneak_search *s, sl_part but, sl_edit *edits);

/* Voltage across a user in a state with loads unplugged; NaN without an answer. */
sl_status sl__sneak_volts_without(const sl__sneak_search *s, const sl_switching *state,
                                  const sl__sneak_user *of, const sl_edit *unplug, int32_t count,
                                  double *volts);

void sl__sneak_search_free(sl__sneak_search *s);

#endif
