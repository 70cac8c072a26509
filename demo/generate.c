/* generate.c - writes the invented campaigns of the demo, the same bytes on every machine.
 *
 * Scenario of our own: three units stand beside the Ravnmoor mast for 29 days; a nacelle unit is
 * calibrated beam by beam, then measures wind, then comes back. Nothing here was measured. Wind, instruments and faults come from the random numbers below; what was planted is
 * written to planted.csv, so that the demo can print it beside what was found.
 *
 *   windassay-demo-data FOLDER [DAYS]     (DAYS: the first days of each unit only, for tests)
 *
 * FOLDER/mast/2026-0M.csv         10-min statistics, decimal comma, end stamps in UTC+1
 * FOLDER/raw/NL-04xx/speed_*.gz   1 Hz, horizontal speed and direction that the unit reports
 * FOLDER/raw/NL-0417/beams_*.gz   one beam a second, two ranges a beam (long file)
 * FOLDER/raw/NL-042x/los_*.gz     one beam every 4 s, past the mast's cup
 * FOLDER/raw/NL-0421/wind_*.gz    its four beams in turn, one a second
 * FOLDER/planted.csv              unit, kind, check, name, planted
 */
#include "windassay/error.h"
#include "windassay/portable.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <zlib.h>

enum {
    DAYS = 29,     /* of the three units                                            */
    ALL_DAYS = 87, /* of the mast; in the rest the nacelle unit is there alone      */
    INTERVAL = 600,
    PER_DAY = 86400 / INTERVAL,
    INTERVALS = ALL_DAYS * PER_DAY,
    MARGIN = 3600, /* seconds of wind before and after the period: clocks may be off */
    SECONDS = ALL_DAYS * 86400 + 2 * MARGIN,
    KNOTS = SECONDS / INTERVAL + 2
};

static const double WAKE_FROM = 52, WAKE_TO = 98; /* degrees, as in the site file */

/* ---- random numbers: splitmix64, and a sum of four uniforms for a bell ---------------------- */

typedef struct rng {
    uint64_t state;
} rng;

static uint64_t next(rng *r)
{
    uint64_t z = (r->state += 0x9e3779b97f4a7c15u);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

/* Mean 0, standard deviation 1, bounded by 3.47. */
static double bell(rng *r)
{
    uint64_t bits = next(r);
    double sum = 0;
    for (int i = 0; i < 4; i++)
        sum += (double)((bits >> (16 * i)) & 0xffff);
    return (sum / 65536 - 2) * 1.7320508075688772;
}

/* ---- the wind ------------------------------------------------------------------------------- */

typedef struct wind {
    float *speed, *direction; /* one value a second, from MARGIN before the period */
} wind;

static double between(const double *knot, long second)
{
    long k = second / INTERVAL;
    double f = (double)(second % INTERVAL) / INTERVAL;
    return knot[k] * (1 - f) + knot[k + 1] * f;
}

static double circle(double degrees)
{
    return degrees - 360 * floor(degrees / 360);
}

static void blow(wind *w)
{
    static double speed_knot[KNOTS], direction_knot[KNOTS];
    rng slow = {417}, turbulence = {418};
    double v = 9, d = 235, u = 0, s = 0;
    for (int k = 0; k < KNOTS; k++) {
        v += 0.018 * (8.4 - v) + 0.62 * bell(&slow);
        if (v < 1.5)
            v = 3 - v;
        d += 0.004 * (190 - d) + 7 * bell(&slow);
        speed_knot[k] = v;
        direction_knot[k] = d;
    }
    for (long t = 0; t < SECONDS; t++) {
        u = 0.95 * u + 0.312 * bell(&turbulence);
        s = 0.95 * s + 0.312 * bell(&turbulence);
        double mean = between(speed_knot, t);
        double now = mean + (0.09 * mean + 0.1) * u;
        w->speed[t] = (float)(now < 0.2 ? 0.2 : now);
        w->direction[t] = (float)circle(between(direction_knot, t) + 5 * s);
    }
}

/* ---- what is planted ------------------------------------------------------------------------ */

typedef struct span {
    int from_day, from_hour, to_day, to_hour; /* days from 0 */
} span;

static bool inside(const span *s, size_t n, long second)
{
    for (size_t i = 0; i < n; i++)
        if (second >= s[i].from_day * 86400L + s[i].from_hour * 3600L &&
            second < s[i].to_day * 86400L + s[i].to_hour * 3600L)
            return true;
    return false;
}

static const span ICING[] = {{3, 1, 3, 9}, {4, 0, 4, 7}};
static const span STUCK[] = {{12, 12, 13, 2}};
static const span GAP[] = {{19, 6, 19, 11}};
static const span UNIT_OFF[] = {{7, 14, 7, 21}};
static const span FOG[] = {{15, 3, 15, 5}};
static const span WET[] = {{9, 2, 9, 6}};

typedef struct unit {
    const char *serial;
    double gain, offset;      /* of the reported horizontal speed         */
    double heading;           /* degrees that its direction is off        */
    double clock, clock_rate; /* seconds by which it is late; seconds a day */
    int days;
    bool beams;
    uint64_t seed;
} unit;

static const unit UNITS[] = {
    {"NL-0417", 1.004, 0.03, 1.8, 25, 0, DAYS, true, 1417},
    {"NL-0418", 1.025, 0.00, -0.7, 0, 3, DAYS, false, 1418},
    {"NL-0419", 0.999, -0.02, 0.4, 0, 0, 6, false, 1419},
};

/* ---- writing -------------------------------------------------------------------------------- */

static _Noreturn void stop(const char *what, const char *path)
{
    fprintf(stderr, "generate: %s '%s': %s\n", what, path, strerror(errno));
    exit(74);
}

static void make_folder(const char *path)
{
    if (mkdir(path, 0777) != 0 && errno != EEXIST)
        stop("cannot make", path);
}

static char *in_folder(char to[512], const char *folder, const char *format, ...) WA_PRINTF(3, 4);

static char *in_folder(char to[512], const char *folder, const char *format, ...)
{
    va_list args;
    int n = snprintf(to, 512, "%s/", folder);
    va_start(args, format);
    vsnprintf(to + n, (size_t)(512 - n), format, args);
    va_end(args);
    return to;
}

/* "-12.34" from -12.344: `decimals` places behind `point`. */
static char *put_number(char *p, double x, int decimals, char point)
{
    static const int power[] = {1, 10, 100, 1000};
    int64_t n = (int64_t)floor(x * power[decimals] + 0.5);
    if (n < 0) {
        *p++ = '-';
        n = -n;
    }
    p += sprintf(p, "%lld", (long long)(n / power[decimals]));
    if (decimals > 0)
        p += sprintf(p, "%c%0*lld", point, decimals, (long long)(n % power[decimals]));
    return p;
}

static double rounded(double x, int decimals)
{
    static const double power[] = {1, 10, 100, 1000};
    return floor(x * power[decimals] + 0.5) / power[decimals];
}

typedef struct date {
    int month, day; /* of 2026 */
} date;

/* The campaigns start on the 2nd of March. */
static date date_of(long second)
{
    static const int length[] = {31, 30, 31};
    date d = {3, 2 + (int)(second / 86400)};
    while (d.month < 5 && d.day > length[d.month - 3])
        d.day -= length[d.month++ - 3];
    return d;
}

static char *put_iso(char *p, long second)
{
    long s = second % 86400;
    date d = date_of(second);
    return p + sprintf(p, "2026-%02d-%02dT%02ld:%02ld:%02ldZ", d.month, d.day, s / 3600,
                       s / 60 % 60, s % 60);
}

/* ---- the mast ------------------------------------------------------------------------------- */

typedef struct sums {
    double n, sum, squares, min, max;
} sums;

static void take(sums *s, double x)
{
    if (s->n == 0 || x < s->min)
        s->min = x;
    if (s->n == 0 || x > s->max)
        s->max = x;
    s->n++;
    s->sum += x;
    s->squares += x * x;
}

static double mean(const sums *s)
{
    return s->sum / s->n;
}

/* Divisor N, as many loggers do; the campaign file says so. */
static double spread(const sums *s)
{
    double variance = s->squares / s->n - mean(s) * mean(s);
    return variance > 0 ? sqrt(variance) : 0;
}

typedef struct mast_row {
    bool present;
    double direction, temperature, humidity; /* as written */
} mast_row;

static mast_row mast_rows[INTERVALS];

/* Temperature and humidity: far from icing, but for the planted hours. */
static void weather(rng *r, long second, double *temperature, double *humidity)
{
    static double slow;
    slow = 0.98 * slow + 0.2 * bell(r);
    double noon = wa_cos_deg(((double)(second % 86400) / 86400 - 0.6) * 360);
    *temperature = 7.5 + 2.2 * noon + slow * 0.8;
    if (*temperature < 3)
        *temperature = 3;
    *humidity = 68 - 6 * noon + slow;
    if (inside(ICING, sizeof ICING / sizeof *ICING, second)) {
        *temperature = -1.2 + 0.3 * noon;
        *humidity = 93 + slow * 0.5;
    }
}

static void write_mast_row(FILE *f, int i, const wind *w, rng *r)
{
    sums top = {0}, low = {0};
    double sine = 0, cosine = 0, temperature, humidity;
    long start = (long)i * INTERVAL;
    static double stuck_at = -1;
    bool ice = inside(ICING, sizeof ICING / sizeof *ICING, start);
    for (int s = 0; s < INTERVAL; s++) {
        double v = (double)w->speed[MARGIN + start + s] * (ice ? 0.8 : 1), sn, cs;
        take(&top, rounded(v + 0.02 * bell(r), 2));
        take(&low, rounded(0.965 * v + 0.02 * bell(r), 2));
        wa_sincos_deg((double)w->direction[MARGIN + start + s], &sn, &cs);
        sine += sn;
        cosine += cs;
    }
    double direction = circle(wa_atan2_deg(sine, cosine));
    if (!inside(STUCK, sizeof STUCK / sizeof *STUCK, start))
        stuck_at = -1;
    else if (stuck_at < 0)
        stuck_at = direction;
    if (stuck_at >= 0)
        direction = stuck_at;
    weather(r, start, &temperature, &humidity);
    mast_row *row = &mast_rows[i];
    *row = (mast_row){!inside(GAP, sizeof GAP / sizeof *GAP, start), circle(rounded(direction, 1)),
                      rounded(temperature, 1), rounded(humidity, 1)};
    if (!row->present)
        return;
    long end = start + INTERVAL + 3600; /* interval end, in UTC+1 */
    char line[256], *p = line;
    date d = date_of(end);
    p +=
        sprintf(p, "%02d.%02d.2026 %02ld:%02ld", d.day, d.month, end % 86400 / 3600, end / 60 % 60);
    const double speeds[] = {mean(&top), spread(&top), top.min, top.max};
    for (size_t k = 0; k < 4; k++) {
        *p++ = ';';
        p = put_number(p, speeds[k], k < 2 ? 3 : 2, ',');
    }
    p += sprintf(p, ";%d;", INTERVAL);
    p = put_number(p, mean(&low), 3, ',');
    *p++ = ';';
    p = put_number(p, spread(&low), 3, ',');
    const double others[] = {row->direction, row->temperature, row->humidity};
    for (size_t k = 0; k < 3; k++) {
        *p++ = ';';
        p = put_number(p, others[k], 1, ',');
    }
    fprintf(f, "%.*s\n", (int)(p - line), line);
}

static FILE *open_month(const char *folder, int month)
{
    char path[512];
    FILE *f = fopen(in_folder(path, folder, "mast/2026-%02d.csv", month), "w");
    if (f == NULL)
        stop("cannot write", path);
    fputs("interval end;v top mean;v top sd;v top min;v top max;v top n;v low mean;v low sd;"
          "d mean;t mean;rh mean\n"
          "UTC+1;m/s;m/s;m/s;m/s;1;m/s;m/s;degree;degC;%\n",
          f);
    return f;
}

/* One file a month, by the end of the interval as the logger stamps it. */
static void write_mast(const char *folder, const wind *w, int intervals)
{
    rng r = {4711};
    FILE *f = NULL;
    int month = 0;
    for (int i = 0; i < intervals; i++) {
        date end = date_of((i + 1L) * INTERVAL + 3600);
        if (end.month != month) {
            if (f != NULL && fclose(f) != 0)
                stop("cannot write the mast below", folder);
            f = open_month(folder, month = end.month);
        }
        write_mast_row(f, i, w, &r);
    }
    if (f != NULL && fclose(f) != 0)
        stop("cannot write the mast below", folder);
}

/* ---- a unit --------------------------------------------------------------------------------- */

typedef struct unit_state {
    rng noise;
    double own, site; /* slow differences between what unit and mast see */
    int valid[INTERVALS];
} unit_state;

/* The second of true time at which the unit's clock shows `second`. */
static long true_second(const unit *u, long second)
{
    double late = u->clock + u->clock_rate * (double)second / 86400;
    return second + (long)floor(late + 0.5);
}

/* Hub-height style projection: what a beam sees of the wind, positive towards the unit. */
static double line_of_sight(double speed, double direction, double heading, int beam)
{
    static const double azimuth[] = {17, -17, 17, -17}, elevation[] = {6, 6, -6, -6};
    return speed * wa_cos_deg(direction - (heading - azimuth[beam])) * wa_cos_deg(elevation[beam]);
}

static const double BEAM_GAIN = 1.003;

static void write_beams(gzFile beams, unit_state *s, long stamp, double v, double d)
{
    int beam = (int)(stamp % 4);
    for (int range = 140; range <= 240; range += 100) {
        char line[128], *p = put_iso(line, stamp);
        double los = line_of_sight(v * (range == 140 ? 0.985 : 1), d, 285, beam);
        p += sprintf(p, ",%d,%d,", beam + 1, range);
        p = put_number(p, BEAM_GAIN * los + 0.06 * bell(&s->noise), 2, '.');
        *p++ = ',';
        p = put_number(p, (range == 140 ? -9 : -13) + 1.5 * bell(&s->noise), 1, '.');
        p += sprintf(p, ",0.2%d,0\n", (int)(stamp / 3600 % 10));
        gzwrite(beams, line, (unsigned)(p - line));
    }
}

/* One row of the wide file. The stamp is the end of a sample that lasts one second. */
static void write_second(gzFile wide, gzFile beams, const unit *u, unit_state *s, const wind *w,
                         long second)
{
    long when = true_second(u, second);
    double v = (double)w->speed[MARGIN + when], d = (double)w->direction[MARGIN + when];
    s->own = 0.7 * s->own + 0.18 * bell(&s->noise);
    s->site = 0.9985 * s->site + 0.0055 * bell(&s->noise);
    bool wake = d >= WAKE_FROM + 8 && d < WAKE_TO - 8; /* the sector has a margin */
    double seen = v * (wake ? 0.93 : 1);
    double speed = u->gain * seen + u->offset + s->own + s->site;
    long stamp = second + 1;
    if (beams != NULL)
        write_beams(beams, s, stamp, seen, d);
    bool fog = inside(FOG, sizeof FOG / sizeof *FOG, second) && next(&s->noise) % 100 < 45;
    bool lost = next(&s->noise) % 1000 < 4;
    char line[128], *p = put_iso(line, stamp);
    if (fog || lost) {
        p += sprintf(p, ",NaN,NaN,%d,%d\n", 20 + (int)(next(&s->noise) % 20), fog ? 2 : 0);
    } else {
        *p++ = ',';
        p = put_number(p, speed < 0 ? 0 : speed, 2, '.');
        *p++ = ',';
        double direction = rounded(circle(d + u->heading + 2.5 * bell(&s->noise)), 1);
        p = put_number(p, direction >= 360 ? 0 : direction, 1, '.');
        p += sprintf(p, ",%d,0\n", 80 + (int)(next(&s->noise) % 20));
        s->valid[second / INTERVAL]++;
    }
    gzwrite(wide, line, (unsigned)(p - line));
}

static gzFile open_day(const char *folder, const unit *u, const char *kind, int day,
                       const char *head)
{
    char path[512];
    date d = date_of(day * 86400L);
    in_folder(path, folder, "raw/%s/%s_2026-%02d-%02d.csv.gz", u->serial, kind, d.month, d.day);
    gzFile f = gzopen(path, "wb1");
    if (f == NULL)
        stop("cannot write", path);
    gzputs(f, head);
    return f;
}

static void write_unit(const char *folder, const unit *u, unit_state *s, const wind *w)
{
    char path[512];
    make_folder(in_folder(path, folder, "raw/%s", u->serial));
    for (int day = 0; day < u->days; day++) {
        gzFile wide = open_day(folder, u, "speed", day, "time,hws,hdir,quality,flags\n");
        gzFile beams = NULL;
        if (u->beams)
            beams = open_day(folder, u, "beams", day,
                             "# invented data of the windassay demo\n# one beam a second\n"
                             "time,beam,range_m,speed,cnr,pitch,flags\n");
        for (long t = day * 86400L; t < (day + 1) * 86400L; t++)
            if (!inside(UNIT_OFF, sizeof UNIT_OFF / sizeof *UNIT_OFF, t))
                write_second(wide, beams, u, s, w, t);
        if (gzclose(wide) != Z_OK || (beams != NULL && gzclose(beams) != Z_OK))
            stop("cannot write a day of", u->serial);
    }
}

/* ---- a unit on the ground whose beams pass the mast's cup, one after the other --------------- */

typedef struct passing {
    const char *campaign, *serial;
    int beam, from_day, to_day; /* days from 0                                       */
    double direction, tilt;     /* of the beam, degrees                              */
    double gain;                /* of the line-of-sight speed that the unit reports  */
    uint64_t seed;
} passing;

/* NL-0421's beams pass one after the other, with a day between to turn the unit; the first of them
 * passes again at the end. NL-0423 is on the bench: its sheets are planted, its day of data is not
 * calibrated. */
static const passing PASSING[] = {
    {"NL-0421", "NL-0421", 1, 0, 14, 214.3, 1.62, 1.0031, 1421},
    {"NL-0421", "NL-0421", 2, 15, 29, 213.6, 1.58, 0.9974, 1422},
    {"NL-0421", "NL-0421", 3, 30, 40, 214.1, 1.60, 1.0052, 1425},
    {"NL-0421", "NL-0421", 4, 56, 66, 213.9, 1.63, 0.9989, 1426},
    {"NL-0421-again", "NL-0421", 1, 77, 87, 214.0, 1.61, 1.0024, 1428},
    {"NL-0422", "NL-0422", 1, 0, 14, 214.9, 1.60, 1.018, 1423},
    {"NL-0423", "NL-0423", 3, 0, 1, 214.0, 1.60, 1, 1424},
};
enum { PASSINGS = sizeof PASSING / sizeof *PASSING, EVERY = 4 };

static void write_passing_day(gzFile f, const passing *p, unit_state *s, const wind *w, int day)
{
    double level = wa_cos_deg(p->tilt);
    for (long t = day * 86400L; t < (day + 1) * 86400L; t += EVERY) {
        double v = (double)w->speed[MARGIN + t], d = (double)w->direction[MARGIN + t];
        s->site = 0.994 * s->site + 0.011 * bell(&s->noise);
        double speed = p->gain * v * level * wa_cos_deg(d - p->direction) + s->site;
        double carrier = -12 + 1.5 * bell(&s->noise);
        if (inside(FOG, sizeof FOG / sizeof *FOG, t) && next(&s->noise) % 100 < 45)
            carrier = -24;
        char line[128], *q = put_iso(line, t + 1);
        q += sprintf(q, ",%d,240,", p->beam);
        q = put_number(q, speed + 0.06 * bell(&s->noise), 2, '.');
        *q++ = ',';
        q = put_number(q, carrier, 1, '.');
        q += sprintf(q, ",%d\n", inside(WET, sizeof WET / sizeof *WET, t));
        gzwrite(f, line, (unsigned)(q - line));
    }
}

static void write_passing(const char *folder, const passing *p, int days, const wind *w)
{
    static unit_state state;
    const unit u = {.serial = p->serial};
    char path[512];
    memset(&state, 0, sizeof state);
    state.noise.state = p->seed;
    make_folder(in_folder(path, folder, "raw/%s", u.serial));
    for (int day = p->from_day; day < p->to_day && (day < days || days == DAYS); day++) {
        gzFile f = open_day(folder, &u, "los", day, "time,beam,range_m,speed,cnr,flags\n");
        write_passing_day(f, p, &state, w, day);
        if (gzclose(f) != Z_OK)
            stop("cannot write a day of", u.serial);
    }
}

static void write_planted_passing(FILE *f, const passing *p, int days)
{
    if (days < DAYS && days < p->to_day)
        return;
    if (strcmp(p->serial, "NL-0423") == 0) {
        fprintf(f, "%s,value,beam_geometry,largest angle from nominal,0.5\n", p->campaign);
        return;
    }
    fprintf(f, "%s,value,los.beam_%d,gain,%g\n", p->campaign, p->beam, p->gain);
    fprintf(f, "%s,value,los.beam_%d,line-of-sight direction,%g\n", p->campaign, p->beam,
            p->direction);
}

/* ---- the same unit with all its beams in the wind -------------------------------------------- */

enum { WIND_FROM = 68, WIND_TO = 76, WIND_HEADING = 214 }; /* days from 0; degrees */

/* The gain with which a beam passed the cup first. */
static double gain_of(int beam)
{
    for (int i = 0; i < PASSINGS; i++)
        if (strcmp(PASSING[i].campaign, "NL-0421") == 0 && PASSING[i].beam == beam)
            return PASSING[i].gain;
    return 1;
}

static void write_wind_day(gzFile f, unit_state *s, const wind *w, int day)
{
    for (long t = day * 86400L; t < (day + 1) * 86400L; t++) {
        double v = (double)w->speed[MARGIN + t], d = (double)w->direction[MARGIN + t];
        int beam = (int)(t % 4);
        double speed = gain_of(beam + 1) * line_of_sight(v, d, WIND_HEADING, beam);
        char line[128], *q = put_iso(line, t + 1);
        q += sprintf(q, ",%d,240,", beam + 1);
        q = put_number(q, speed + 0.06 * bell(&s->noise), 2, '.');
        *q++ = ',';
        q = put_number(q, -12 + 1.5 * bell(&s->noise), 1, '.');
        q += sprintf(q, ",0\n");
        gzwrite(f, line, (unsigned)(q - line));
    }
}

static void write_wind(const char *folder, const wind *w)
{
    static unit_state state = {.noise = {1427}};
    const unit u = {.serial = "NL-0421"};
    for (int day = WIND_FROM; day < WIND_TO; day++) {
        gzFile f = open_day(folder, &u, "wind", day, "time,beam,range_m,speed,cnr,flags\n");
        write_wind_day(f, &state, w, day);
        if (gzclose(f) != Z_OK)
            stop("cannot write a day of", u.serial);
    }
}

static void write_planted_wind(FILE *f)
{
    fputs("NL-0421-wind,value,wind_field,\"forced slope of speed, bin means\",1\n"
          "NL-0421-wind,value,wind_field,\"yaw misalignment, mean difference\",0\n",
          f);
}

/* ---- planted.csv: counts taken from what was written, not from what was meant ---------------- */

static bool stuck_at(int i)
{
    int from = i, to = i;
    if (!mast_rows[i].present)
        return false;
    while (from > 0 && mast_rows[from - 1].present &&
           mast_rows[from - 1].direction == mast_rows[i].direction)
        from--;
    while (to < INTERVALS - 1 && mast_rows[to + 1].present &&
           mast_rows[to + 1].direction == mast_rows[i].direction)
        to++;
    return to - from + 1 >= 6;
}

static void write_planted(FILE *f, const unit *u, const unit_state *s)
{
    int n = u->days * PER_DAY, gap = 0, off = 0, few = 0, ice = 0, stuck = 0, wake = 0;
    for (int i = 0; i < n; i++) {
        const mast_row *m = &mast_rows[i];
        gap += !m->present;
        off += s->valid[i] == 0;
        few += s->valid[i] < INTERVAL * 80 / 100;
        ice += m->present && m->temperature < 2 && m->humidity > 80;
        stuck += stuck_at(i);
        wake += m->present && m->direction >= WAKE_FROM && m->direction < WAKE_TO;
    }
    const struct {
        const char *reason;
        int count;
    } counts[] = {
        {"reference missing", gap}, {"unit missing", off}, {"unit availability below 80 %", few},
        {"icing possible", ice},    {"vane stuck", stuck}, {"disturbed sector", wake}};
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
        fprintf(f, "%s,intervals,wind_speed_comparison,%s,%d\n", u->serial, counts[i].reason,
                counts[i].count);
    double late = u->clock + u->clock_rate * u->days / 2;
    fprintf(f, "%s,value,wind_speed_comparison,\"free slope, records\",%g\n", u->serial, u->gain);
    fprintf(f, "%s,value,wind_speed_comparison,\"free intercept, records\",%g\n", u->serial,
            u->offset);
    fprintf(f, "%s,value,wind_direction_comparison,offset,%g\n", u->serial, u->heading);
    fprintf(f, "%s,value,clock,clock offset,%g\n", u->serial, late);
    if (u->days > 21)
        fprintf(f, "%s,value,clock,clock drift,%g\n", u->serial, u->clock_rate);
    if (u->beams) {
        fprintf(f, "%s,value,wind_field,\"forced slope of speed, bin means\",%g\n", u->serial,
                BEAM_GAIN);
        fprintf(f, "%s,value,wind_field,\"yaw misalignment, mean difference\",0\n", u->serial);
    }
}

int main(int argc, char **argv)
{
    static unit_state state;
    int days = argc == 3 ? atoi(argv[2]) : DAYS;
    if (argc < 2 || argc > 3 || argv[1][0] == '-' || days < 1 || days > DAYS) {
        fputs("usage: windassay-demo-data FOLDER [DAYS]\n", stderr);
        return 64;
    }
    const char *folder = argv[1];
    char path[512];
    make_folder(folder);
    make_folder(in_folder(path, folder, "mast"));
    make_folder(in_folder(path, folder, "raw"));
    wind w = {malloc(SECONDS * sizeof(float)), malloc(SECONDS * sizeof(float))};
    if (w.speed == NULL || w.direction == NULL)
        stop("no memory for", folder);
    blow(&w);
    write_mast(folder, &w, (days < DAYS ? DAYS : ALL_DAYS) * PER_DAY);
    FILE *planted = fopen(in_folder(path, folder, "planted.csv"), "w");
    if (planted == NULL)
        stop("cannot write", path);
    fputs("unit,kind,check,name,planted\n", planted);
    for (size_t i = 0; i < sizeof UNITS / sizeof *UNITS; i++) {
        memset(&state, 0, sizeof state);
        state.noise.state = UNITS[i].seed;
        unit u = UNITS[i];
        u.days = u.days < days ? u.days : days;
        write_unit(folder, &u, &state, &w);
        write_planted(planted, &u, &state);
    }
    for (int i = 0; i < PASSINGS; i++) {
        write_passing(folder, &PASSING[i], days, &w);
        write_planted_passing(planted, &PASSING[i], days);
    }
    if (days == DAYS) {
        write_wind(folder, &w);
        write_planted_wind(planted);
    }
    if (fclose(planted) != 0)
        stop("cannot write", path);
    free(w.speed);
    free(w.direction);
    return 0;
}
