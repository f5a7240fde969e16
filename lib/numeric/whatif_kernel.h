/* lib/numeric/whatif_kernel.h: the arithmetic of whatif.h. A file that includes this has defined
   these, which are gone afterwards:

       FUNCTION        what stands before every function, as `static`
       NAME(x)         the name of x
       VECTOR          the vectors of this processor, at any address
       WIDE            how many doubles they are
       STREAM(to, v)   writes one past the caches, to a multiple of its size; or not defined

   The digits of a number depend neither on how many go side by side nor on which. */

typedef int64_t NAME(bits) __attribute__((vector_size(WIDE * 8), aligned(8), may_alias));

#define AT(array) (*(VECTOR *)(void *)(array))
#define AT_CONST(array) (*(const VECTOR *)(const void *)(array))

FUNCTION void NAME(series)(const sl__whatif *branch, int32_t count, const double *ohm, double *t)
{
    const sl__whatif is = *branch;
    int32_t c = 0;
    for (; c + WIDE <= count; c += WIDE) {
        const VECTOR ratio = is.siemens * AT_CONST(ohm + c);
        AT(t + c) = is.amp * ratio / (1.0 + is.rest * ratio);
    }
    for (; c < count; c++) {
        const double ratio = is.siemens * ohm[c];
        t[c] = is.amp * ratio / (1.0 + is.rest * ratio);
    }
}

FUNCTION void NAME(across)(double apart, double between, int32_t count, const double *ohm,
                           double *t)
{
    int32_t c = 0;
    for (; c + WIDE <= count; c += WIDE) {
        AT(t + c) = -apart / (AT_CONST(ohm + c) + between);
    }
    for (; c < count; c++) {
        t[c] = -apart / (ohm[c] + between);
    }
}

FUNCTION void NAME(range)(int32_t count, const double *t, double *least, double *greatest)
{
    double low = t[0], high = t[0];
    int32_t c = 0;
    if (count >= WIDE) {
        VECTOR lows = AT_CONST(t), highs = lows;
        for (c = WIDE; c + WIDE <= count; c += WIDE) {
            const VECTOR x = AT_CONST(t + c);
            const NAME(bits) below = x<lows, above = x> highs;
            lows = (VECTOR)(((NAME(bits))x & below) | ((NAME(bits))lows & ~below));
            highs = (VECTOR)(((NAME(bits))x & above) | ((NAME(bits))highs & ~above));
        }
        for (int32_t l = 0; l < WIDE; l++) {
            low = lows[l] < low ? lows[l] : low;
            high = highs[l] > high ? highs[l] : high;
        }
    }
    for (; c < count; c++) {
        low = t[c] < low ? t[c] : low;
        high = t[c] > high ? t[c] : high;
    }
    *least = low;
    *greatest = high;
}

FUNCTION void NAME(w)(int32_t readings, const sl__whatif_row *a, const sl__whatif_row *b, double *w)
{
    for (int32_t r = 0; r < readings; r += WIDE) {
        AT(w + r) = (AT_CONST(a->high + r) - AT_CONST(b->high + r)) +
                    (AT_CONST(a->low + r) - AT_CONST(b->low + r));
    }
}

FUNCTION inline VECTOR NAME(size)(VECTOR x)
{
    const NAME(bits) but_sign = (NAME(bits)){0} + INT64_MAX;
    return (VECTOR)((NAME(bits))x & but_sign);
}

FUNCTION int32_t NAME(cancelling)(int32_t readings, const double *base, const double *w,
                                  double least, double greatest, double share, int32_t *which)
{
    enum { BLOCK = 4 * SL__LANES }; /* looked through together */
    int32_t count = 0;
    for (int32_t first = 0; first < readings; first += BLOCK) {
        const int32_t left = readings - first, now = left < BLOCK ? left : BLOCK;
        int64_t safe[BLOCK];
        NAME(bits) all = (NAME(bits)){0} - 1;
        for (int32_t r = 0; r < now; r += WIDE) {
            const VECTOR good = AT_CONST(base + first + r), each = AT_CONST(w + first + r);
            const VECTOR low = least * each, high = greatest * each;
            const VECTOR one = good + low, other = good + high;
            const VECTOR size = share * (NAME(size)(good) + NAME(size)(low) + NAME(size)(high));
            const NAME(bits) is = ((one >= size) & (other >= size)) |
                                  ((one <= -size) & (other <= -size)) | (good != good);
            *(NAME(bits) *)(void *)(safe + r) = is;
            all &= is;
        }
        int64_t every = -1;
        for (int32_t l = 0; l < WIDE; l++) {
            every &= all[l];
        }
        for (int32_t r = 0; every == 0 && r < now; r++) {
            which[count] = first + r;
            count += safe[r] == 0;
        }
    }
    return count;
}

FUNCTION bool NAME(sound)(double base, double w, int32_t count, const double *t,
                          const sl__whatif_doubt *doubt)
{
    const sl__whatif_doubt may = *doubt;
    NAME(bits) all = (NAME(bits)){0} - 1;
    bool sound = true;
    int32_t c = 0;
    for (; c + WIDE <= count; c += WIDE) {
        const VECTOR change = AT_CONST(t + c) * w, value = NAME(size)(base + change);
        const VECTOR off = may.of_change * NAME(size)(change);
        all &= (off <= may.of_value * value + may.least) & ((off < value) | (value == 0.0));
    }
    for (int32_t l = 0; l < WIDE; l++) {
        sound = sound && all[l] != 0;
    }
    for (; c < count; c++) {
        const double change = t[c] * w, value = fabs(base + change);
        const double off = may.of_change * fabs(change);
        sound = sound && off <= may.of_value * value + may.least && (off < value || value == 0.0);
    }
    return sound;
}

/* Fewer readings than a vector has: what is written too far is written over by the next row. */
FUNCTION void NAME(narrow_rows)(int32_t readings, const double *base, const double *w,
                                int32_t count, const double *t, double *out)
{
    const VECTOR good = AT_CONST(base), each = AT_CONST(w);
    const double *end = out + (ptrdiff_t)count * readings;
    int32_t c = 0;
    for (; c < count && end - out >= WIDE; c++, out += readings) {
        AT(out) = good + t[c] * each;
    }
    for (; c < count; c++, out += readings) {
        for (int32_t r = 0; r < readings; r++) {
            out[r] = base[r] + t[c] * w[r];
        }
    }
}

/* A vector of readings, down all rows. */
FUNCTION inline void NAME(write_down)(int32_t readings, const double *base, const double *w,
                                      int32_t count, const double *t, double *out)
{
    const VECTOR good = AT_CONST(base), each = AT_CONST(w);
    for (int32_t c = 0; c < count; c++, out += readings) {
        AT(out) = good + t[c] * each;
    }
}

FUNCTION void NAME(rows)(int32_t readings, const double *base, const double *w, int32_t count,
                         const double *t, double *out)
{
    if (readings < WIDE) {
        NAME(narrow_rows)(readings, base, w, count, t, out);
        return;
    }
    for (int32_t r = 0; r + WIDE <= readings; r += WIDE) {
        NAME(write_down)(readings, base + r, w + r, count, t, out + r);
    }
    if (readings % WIDE != 0) { /* some of them once more */
        const int32_t r = readings - WIDE;
        NAME(write_down)(readings, base + r, w + r, count, t, out + r);
    }
}

#ifdef STREAM
/* All of it goes past the caches, or the processor would first read the lines that two kinds of
   writes share. */
FUNCTION void NAME(rows_past)(int32_t readings, const double *base, const double *w, int32_t count,
                              const double *t, double *out)
{
    for (int32_t c = 0; c < count; c++, out += readings) {
        const int32_t first = (int32_t)(-(uintptr_t)out % sizeof(VECTOR) / sizeof *out);
        int32_t r = first < readings ? first : readings;
        stream_few(r, base, w, t[c], out);
        for (; r + WIDE <= readings; r += WIDE) {
            STREAM(out + r, AT_CONST(base + r) + t[c] * AT_CONST(w + r));
        }
        stream_few(readings - r, base + r, w + r, t[c], out + r);
    }
}
#else
FUNCTION void NAME(rows_past)(int32_t readings, const double *base, const double *w, int32_t count,
                              const double *t, double *out)
{
    NAME(rows)(readings, base, w, count, t, out);
}
#endif

FUNCTION void NAME(pairs)(const sl__whatif_pair *pair, int32_t count, const double *per_v,
                          const sl__whatif_two *out)
{
    const sl__whatif_pair is = *pair;
    const double coupled = is.other_per_v * is.both_ohm, other = is.other_per_v * is.other_volt;
    int32_t c = 0;
    for (; c + WIDE <= count; c += WIDE) {
        const VECTOR each = AT_CONST(per_v + c), alone = each * is.volt, by = each * is.both_ohm;
        const VECTOR left = 1.0 - by * coupled;
        const NAME(bits) enough = left > LEFT_LEAST;
        const VECTOR square = (VECTOR)((NAME(bits))(left * left) & enough);
        const VECTOR across = by * other, back = coupled * alone;
        AT(out->t[0] + c) = (alone + across) / left;
        AT(out->t[1] + c) = (other + back) / left;
        AT(out->size[0] + c) = (NAME(size)(alone) + NAME(size)(across)) / square;
        AT(out->size[1] + c) = (fabs(other) + NAME(size)(back)) / square;
    }
    for (; c < count; c++) {
        const double alone = per_v[c] * is.volt, by = per_v[c] * is.both_ohm;
        const double left = 1.0 - by * coupled, square = left > LEFT_LEAST ? left * left : 0.0;
        const double across = by * other, back = coupled * alone;
        out->t[0][c] = (alone + across) / left;
        out->t[1][c] = (other + back) / left;
        out->size[0][c] = (fabs(alone) + fabs(across)) / square;
        out->size[1][c] = (fabs(other) + fabs(back)) / square;
    }
}

FUNCTION void NAME(pair_rows)(int32_t readings, const double *base, const double *const w[2],
                              int32_t count, const sl__whatif_two *two,
                              const sl__whatif_doubt *doubt, double *out, bool *known)
{
    const sl__whatif_doubt may = *doubt;
    for (int32_t c = 0; c < count; c++, out += readings) {
        const double t0 = two->t[0][c], t1 = two->t[1][c];
        const double size0 = may.of_change * two->size[0][c];
        const double size1 = may.of_change * two->size[1][c];
        NAME(bits) all = (NAME(bits)){0} - 1;
        for (int32_t r = 0; r < readings; r += WIDE) {
            const VECTOR good = AT_CONST(base + r);
            const VECTOR one = AT_CONST(w[0] + r), other = AT_CONST(w[1] + r);
            const VECTOR v = (good + t0 * one) + t1 * other, value = NAME(size)(v);
            const VECTOR off = size0 * NAME(size)(one) + size1 * NAME(size)(other);
            all &= ((off <= may.of_value * value + may.least) & ((off < value) | (value == 0.0))) |
                   (good != good);
            if (r + WIDE <= readings) {
                AT(out + r) = v;
            } else {
                memcpy(out + r, &v, (size_t)(readings - r) * sizeof *out);
            }
        }
        int64_t every = -1;
        for (int32_t l = 0; l < WIDE; l++) {
            every &= all[l];
        }
        for (int32_t r = 0; every == 0 && r < readings; r++) {
            const double off = size0 * fabs(w[0][r]) + size1 * fabs(w[1][r]);
            const double value = fabs(out[r]);
            known[c] = known[c] && (off <= may.of_value * value + may.least || isnan(base[r]));
            out[r] = value <= off ? 0.0 : out[r];
        }
    }
}

#undef AT
#undef AT_CONST
#undef FUNCTION
#undef NAME
#undef VECTOR
#undef WIDE
#undef STREAM
