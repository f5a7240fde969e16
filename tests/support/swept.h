/* tests/support/swept.h: the rows of sweeps, kept and compared bit by bit. */
#ifndef SL_SUPPORT_SWEPT_H
#define SL_SUPPORT_SWEPT_H

#include "strapline/sweep.h"

/* Rows as they came, each a header and its values, in one flat list. */
typedef struct rows {
    size_t count, room;
    double *value; /* freed by its user */
    int32_t readings;
    int64_t rows, stop_after; /* 0: never */
} rows;

/* Adds a number; a sink for rows. */
void swept_put(rows *r, double value);
bool swept_take(void *user, const sl_sweep_row *row);

/* Bit by bit, so that NaN is itself and -0 is not 0. */
void swept_same(const rows *a, const rows *b);

/* A sweep that has nothing yet; and the end of it, and of its circuit. */
sl_sweep *swept_new(const sl_circuit *c);
void swept_free(sl_circuit *c, sl_sweep *sweep);

/* Adds every voltage, and all that can be read of every part and element. */
void swept_read_all(sl_sweep *sweep);

/* Adds one reading; and voltages against the reference and between two nodes drawn, and all but
   powers of every part and element. */
void swept_read(sl_sweep *sweep, sl_sweep_quantity quantity, int32_t a, int32_t b);
void swept_read_anything(sl_sweep *sweep, uint64_t *random);

/* Solves these cases, whole. */
rows swept_run(const sl_sweep *sweep, bool notices, int64_t first, int64_t count);

/* A battery of 12 V feeds, through its own contact, the coil that opens it: a buzzer. */
sl_circuit *swept_buzzer(void);

#endif
