/* lib/kinds/conductor_sizes.c: the greatest resistance standards allow each nominal section. */
#include "kinds/conductor.h"

#include <math.h>

/* A nominal section, the greatest resistance allowed at 20 C, and what to say of a section between
   this one and the next. */
typedef struct listed_size {
    double mm2, plain_ohm_km, tinned_ohm_km;
    const char *gap;
} listed_size;

#define OR_METAL "; take one of the listed sizes, or basis = \"metal\" for any section"
#define IEC_ROW(mm2, plain, tinned, next)                                                          \
    {                                                                                              \
        mm2, plain, tinned,                                                                        \
            "IEC 60228 has no such size: the nearest are " #mm2 " and " #next " mm2" OR_METAL      \
    }
#define ISO_ROW(mm2, plain, next)                                                                  \
    {                                                                                              \
        mm2, plain, (double)NAN,                                                                   \
            "ISO 6722 has no such size: the nearest are " #mm2 " and " #next " mm2" OR_METAL       \
    }

/* The greatest value at 50 mm2 is below that of class 2; so it stands in the standard. */
static const listed_size iec_sizes[] = {
    IEC_ROW(0.5, 39.0, 40.1, 0.75),
    IEC_ROW(0.75, 26.0, 26.7, 1),
    IEC_ROW(1, 19.5, 20.0, 1.5),
    IEC_ROW(1.5, 13.3, 13.7, 2.5),
    IEC_ROW(2.5, 7.98, 8.21, 4),
    IEC_ROW(4, 4.95, 5.09, 6),
    IEC_ROW(6, 3.30, 3.39, 10),
    IEC_ROW(10, 1.91, 1.95, 16),
    IEC_ROW(16, 1.21, 1.24, 25),
    IEC_ROW(25, 0.780, 0.795, 35),
    IEC_ROW(35, 0.554, 0.565, 50),
    IEC_ROW(50, 0.386, 0.393, 70),
    IEC_ROW(70, 0.272, 0.277, 95),
    IEC_ROW(95, 0.206, 0.210, 120),
    {120, 0.161, 0.164, "IEC 60228 class 5 is listed here up to 120 mm2" OR_METAL},
};

static const listed_size iso_sizes[] = {
    ISO_ROW(0.13, 136.0, 0.22),
    ISO_ROW(0.22, 84.8, 0.35),
    ISO_ROW(0.35, 54.4, 0.5),
    ISO_ROW(0.5, 37.1, 0.75),
    ISO_ROW(0.75, 24.7, 1),
    ISO_ROW(1, 18.5, 1.25),
    ISO_ROW(1.25, 14.9, 1.5),
    ISO_ROW(1.5, 12.7, 2),
    ISO_ROW(2, 9.42, 2.5),
    ISO_ROW(2.5, 7.60, 3),
    ISO_ROW(3, 6.15, 4),
    ISO_ROW(4, 4.71, 5),
    ISO_ROW(5, 3.94, 6),
    ISO_ROW(6, 3.14, 8),
    ISO_ROW(8, 2.38, 10),
    ISO_ROW(10, 1.82, 12),
    ISO_ROW(12, 1.52, 16),
    ISO_ROW(16, 1.16, 20),
    ISO_ROW(20, 0.955, 25),
    ISO_ROW(25, 0.743, 30),
    ISO_ROW(30, 0.647, 35),
    ISO_ROW(35, 0.527, 40),
    ISO_ROW(40, 0.473, 50),
    ISO_ROW(50, 0.368, 60),
    ISO_ROW(60, 0.315, 70),
    ISO_ROW(70, 0.259, 95),
    ISO_ROW(95, 0.196, 120),
    {120, 0.153, (double)NAN, "ISO 6722 is listed here up to 120 mm2" OR_METAL},
};

#define IEC_BELOW "IEC 60228 class 5 is listed here from 0.5 mm2 up" OR_METAL
#define ISO_BELOW "ISO 6722 is listed here from 0.13 mm2 up" OR_METAL

/* The row of a nominal section, or NULL and what to say. Equal means equal as written, so the
   room left is only for the rounding of a unit's factor. */
static const listed_size *find_size(const listed_size *row, int32_t count, const char *below,
                                    double mm2, const char **complaint)
{
    *complaint = below;
    for (int32_t r = 0; r < count; r++) {
        if (fabs(mm2 - row[r].mm2) <= 1e-9 * row[r].mm2) {
            return &row[r];
        }
        if (mm2 > row[r].mm2) {
            *complaint = row[r].gap;
        }
    }
    return NULL;
}

int32_t sl__iec60228_count(void)
{
    return SL__COUNT(iec_sizes);
}

double sl__iec60228_mm2(int32_t index)
{
    return iec_sizes[index].mm2;
}

double sl__iec60228_ohm_km(double mm2, bool tinned, const char **complaint)
{
    const listed_size *row = find_size(iec_sizes, SL__COUNT(iec_sizes), IEC_BELOW, mm2, complaint);
    return !row ? SL__NAN : tinned ? row->tinned_ohm_km : row->plain_ohm_km;
}

double sl__iso6722_ohm_km(double mm2, const char **complaint)
{
    const listed_size *row = find_size(iso_sizes, SL__COUNT(iso_sizes), ISO_BELOW, mm2, complaint);
    return row ? row->plain_ohm_km : SL__NAN;
}
