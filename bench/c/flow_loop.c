/* The flow of tests/flow_works.py as a C programmer would write it, to measure the compiled engine
 * against: one type, positions with blocking, parting, marriage, crews, units with a random turn
 * time. No charges, tests, windows, scope, lots, scrap, benches, upsets, robbing or second site: the
 * measured works has none. Same draws, same order of things, so the same run, row by row.
 */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef int64_t i64;
typedef int32_t i32;
typedef uint64_t u64;

#define CELLS 1024
#define POINTS (CELLS + 1)
#define FAR ((i64)1 << 62)
enum { MORNING = 0, MADE_GOOD = 4, WORK_END = 10, ARRIVES = 11, CREW_FREE = 12 };
enum { ARRIVED = 1, ADMITTED, READY, POSITIONED, SUPPLIED, BATCHED, STARTED, ENDED, FINISHED,
       PARTED = 12, STORED, MARRIED, REMOVED, SENT, SERVICEABLE = 19, FITTED, RELEASED = 25 };
enum { GO_ON, PART, STORE, MARRY };
enum { STAGE_TIME = 1, TURN = 5 };
enum { RANK_SHIFT = 34, MINUTE_SHIFT = 38 };

typedef struct { i32 head, tail, count; } line;
typedef struct { i32 next, step, vehicle, number, since, finished, held, minutes, parts_left, lacks,
                 first_step, work; u64 key; } piece;
typedef struct { i32 next, piece, need, since; } part;
typedef struct { i32 stage, then, need, end_need, strip, end_strip, fit, end_fit; } step;
typedef struct { i32 crew, need; } need;
typedef struct { i32 kind, units; } carried;
typedef struct { line waiting; i32 positions, busy, law, cause; u64 key; i64 queue_sum, busy_sum; } stage;
typedef struct { line waiting; i32 size, at_work, until, people, cause; i64 owed, busy_sum, there_sum; } crew;
typedef struct { line waiting; i32 pool, owed, asked, late, cause; u64 key; i64 pool_sum, owed_sum, wait_minutes; } kind;
typedef struct { i32 next, piece, units; } order;
typedef struct { i64 time; i32 code, vehicle, place, amount; } row;

typedef struct {
    i64 open_minute, start, end, days, before_count, length, pieces, vehicles, stages, crews, kinds,
        parts, marriage_step, room;
    u64 base;
    const i64 *workday, *before, *arrival;
    const double *exponential, *law, *turn;
    piece *piece; part *part; step *step; need *need; carried *strip, *fit; stage *stage; crew *crew;
    kind *kind; order *order;
    i64 *heap; i32 *waits; i64 causes; i64 *released; row *row;
} flow;

typedef struct {
    i64 now, day, next_day, into, worked, due, coming, rows, inside, inside_sum, orders;
    i32 free_order, gate_dirty, marriage_dirty;
    u64 stages, kinds, crews, stream_time, stream_turn;
    line gate, marriage, store;
    i64 stored_sum;
} moment;

static inline u64 stepped(u64 h, u64 x) {
    u64 z = (h ^ x) + 0x9E3779B97F4A7C15ull;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ull;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBull;
    return z ^ (z >> 31);
}
static inline double drawn(u64 stream, u64 a, u64 b, u64 c) {
    u64 h = stepped(stepped(stepped(stream, a), b), c);
    return ((double)(i64)(h >> 12) + 0.5) * 0x1p-52;
}
static inline double at_share(const double *law, double u) {
    double x = u * CELLS;
    i64 i = (i64)x;
    return law[i] + (law[i + 1] - law[i]) * (x - (double)i);
}
static inline i32 whole(double m) { i32 k = (i32)(m + 0.5); return k > 1 ? k : 1; }

static void set_now(const flow *f, moment *t, i64 minute) {
    i64 since = minute - f->open_minute, d = since / 1440;
    t->now = minute;
    t->into = FAR;
    if (since < 0) { t->day = t->next_day = t->worked = 0; return; }
    if (d + 1 >= f->before_count) { t->day = t->next_day = f->days; t->worked = f->days * f->length; return; }
    t->day = f->before[d];
    t->next_day = f->before[d + 1];
    t->worked = t->day * f->length;
    if (t->next_day > t->day) {
        t->into = since - d * 1440;
        t->worked += t->into < f->length ? t->into : f->length;
    }
}
static inline i64 opening(const flow *f, i64 day) {
    return day < f->days ? f->workday[day] * 1440 + f->open_minute : FAR;
}
static inline i64 end_of_work(const flow *f, const moment *t, i64 work) {
    i64 day = t->day, into = t->into;
    if (into + work <= f->length) return t->now + work;
    if (into >= f->length) { day = t->next_day; into = 0; }
    i64 total = into + work;
    if (total > f->length) { i64 full = (total - 1) / f->length; day += full; total -= full * f->length; }
    i64 begin = opening(f, day);
    return begin == FAR ? FAR : begin + total;
}

static void push(const flow *f, moment *t, i64 minute, i64 rank, i64 subject) {
    if (minute >= f->end) return;
    i64 key = (minute << MINUTE_SHIFT) | (rank << RANK_SHIFT) | subject, i = t->due++;
    while (i > 0) {
        i64 up = (i - 1) >> 2;
        if (f->heap[up] <= key) break;
        f->heap[i] = f->heap[up];
        i = up;
    }
    f->heap[i] = key;
}
static i64 take_first(const flow *f, moment *t) {
    i64 *heap = f->heap, first = heap[0], last = --t->due, key = heap[last], i = 0;
    for (;;) {
        i64 child = 4 * i + 1;
        if (child >= last) break;
        i64 least = child;
        if (child + 3 < last) { /* sums of comparisons: which it is cannot be foreseen */
            i64 left = child + (heap[child + 1] < heap[child]);
            i64 right = child + 2 + (heap[child + 3] < heap[child + 2]);
            least = left + (right - left) * (heap[right] < heap[left]);
        } else
            for (i64 other = child + 1; other < last; other++)
                if (heap[other] < heap[least]) least = other;
        if (heap[least] >= key) break;
        heap[i] = heap[least];
        i = least;
    }
    heap[i] = key;
    return first;
}

#define JOIN(l, rows, i) do { (rows)[i].next = -1; \
    if ((l).count++) (rows)[(l).tail].next = (i); else (l).head = (i); (l).tail = (i); } while (0)
#define CALL(l, rows) ((l).head = (rows)[(l).head].next, (l).count--)

static inline void note(const flow *f, moment *t, i32 code, i32 vehicle, i32 place, i32 amount) {
    if (t->rows < f->room) f->row[t->rows] = (row){t->now, code, vehicle, place, amount};
    t->rows++;
}
static inline void wait_ends(const flow *f, moment *t, piece *p, i32 cause) {
    if (p->number == 0 && t->worked != p->since)
        f->waits[p->vehicle * f->causes + cause] += (i32)t->worked - p->since;
    p->since = (i32)t->worked;
}
static void ready(const flow *f, moment *t, i32 i, i32 e) {
    piece *p = &f->piece[i];
    stage *s = &f->stage[f->step[e].stage];
    p->step = e;
    p->since = (i32)t->worked;
    JOIN(s->waiting, f->piece, i);
    s->queue_sum -= t->worked;
    note(f, t, READY, p->vehicle, f->step[e].stage, p->number);
    t->stages |= 1ull << f->step[e].stage;
}
static void free_place(const flow *f, moment *t, i32 s) {
    f->stage[s].busy--;
    f->stage[s].busy_sum += t->worked;
    t->stages |= 1ull << s;
}

static void given(const flow *f, moment *t, i32 k, order *o, i32 units) {
    kind *of = &f->kind[k];
    piece *p = &f->piece[o->piece];
    of->owed -= units;
    of->owed_sum += (i64)units * t->worked;
    note(f, t, FITTED, p->vehicle, k, units);
    o->units -= units;
    if (o->units == 0) { p->lacks--; of->wait_minutes += t->worked - p->since; }
}
static void give(const flow *f, moment *t, i32 k) {
    kind *of = &f->kind[k];
    i32 head = of->waiting.head;
    order *o = &f->order[head];
    i32 units = of->pool < o->units ? of->pool : o->units;
    if (units) {
        of->pool -= units;
        of->pool_sum += (i64)units * t->worked;
        given(f, t, k, o, units);
    }
    if (o->units == 0) { CALL(of->waiting, f->order); o->next = t->free_order; t->free_order = head; }
}
static int ask(const flow *f, moment *t, i32 i) {
    piece *p = &f->piece[i];
    step *e = &f->step[p->step];
    int last = -1;
    p->lacks = 0;
    for (i32 c = e->fit; c < e->end_fit; c++) {
        i32 k = f->fit[c].kind, lacks = ++p->lacks, o = t->free_order;
        kind *of = &f->kind[k];
        if (o >= 0) t->free_order = f->order[o].next; else o = (i32)t->orders++;
        f->order[o].piece = i;
        f->order[o].units = f->fit[c].units;
        of->owed += f->fit[c].units;
        of->owed_sum -= (i64)f->fit[c].units * t->worked;
        JOIN(of->waiting, f->order, o);
        if (of->waiting.head == o) give(f, t, k);
        of->asked++;
        of->late += p->lacks == lacks;
        last = k;
    }
    return p->lacks ? -2 : last;
}
static void supplied(const flow *f, moment *t, i32 i, int k) {
    piece *p = &f->piece[i];
    step *e = &f->step[p->step];
    stage *s = &f->stage[e->stage];
    note(f, t, SUPPLIED, p->vehicle, e->stage, p->number);
    if (k >= 0) wait_ends(f, t, p, f->kind[k].cause);
    p->minutes = whole(at_share(f->law + s->law, drawn(t->stream_time, p->key, s->key, 1000 * p->number)));
    note(f, t, BATCHED, p->vehicle, e->stage, p->number);
    p->since = (i32)t->worked;
    p->parts_left = e->end_need - e->need;
    for (i32 n = e->need, w = i * (i32)f->parts; n < e->end_need; n++, w++) {
        i32 c = f->need[n].crew;
        f->part[w].need = n;
        JOIN(f->crew[c].waiting, f->part, w);
        t->crews |= 1ull << c;
    }
}
static void try_position(const flow *f, moment *t, i32 at) {
    stage *s = &f->stage[at];
    if (!s->waiting.count || s->busy >= s->positions) return;
    i32 i = s->waiting.head;
    piece *p = &f->piece[i];
    CALL(s->waiting, f->piece);
    s->queue_sum += t->worked;
    s->busy++;
    s->busy_sum -= t->worked;
    if (p->held <= -2) { /* still on the place where it was parted, with the other one */
        i32 lead = p->number ? i - 1 : i, other = lead + (i == lead);
        if (f->piece[other].held > -2) free_place(f, t, -2 - p->held);
    } else if (p->held >= 0) free_place(f, t, p->held);
    p->held = at;
    note(f, t, POSITIONED, p->vehicle, at, p->number);
    wait_ends(f, t, p, s->cause);
    if (s->waiting.count && s->busy < s->positions) t->stages |= 1ull << at;
    int k = ask(f, t, i);
    if (k != -2) supplied(f, t, i, k);
}
static void serve(const flow *f, moment *t, i32 k) {
    kind *of = &f->kind[k];
    if (!of->waiting.count || !of->pool) return;
    i32 i = f->order[of->waiting.head].piece;
    give(f, t, k);
    if (of->pool && of->waiting.count) t->kinds |= 1ull << k;
    if (!f->piece[i].lacks) supplied(f, t, i, k);
}

static void count_owed(moment *t, crew *c) {
    c->owed += (i64)(c->at_work - c->size) * (t->worked - c->until);
    if (c->owed < 0) c->owed = 0;
    c->until = (i32)t->worked;
}
static int owing(const flow *f, moment *t, i32 i) {
    crew *c = &f->crew[i];
    i32 spare = c->size - c->at_work;
    count_owed(t, c);
    if (c->owed == 0) return 0;
    if (spare > 0) push(f, t, end_of_work(f, t, (c->owed + spare - 1) / spare), CREW_FREE, i);
    return 1;
}
static void try_start(const flow *f, moment *t, i32 at) {
    crew *c = &f->crew[at];
    if (!c->waiting.count || t->into >= f->length) return;
    i32 w = c->waiting.head, n = f->need[f->part[w].need].need;
    if (n && (owing(f, t, at) || c->at_work >= c->size)) return;
    piece *p = &f->piece[f->part[w].piece];
    CALL(c->waiting, f->part);
    if (c->waiting.count) t->crews |= 1ull << at;
    note(f, t, STARTED, p->vehicle, n ? at : -1, p->number);
    f->part[w].since = (i32)t->worked;
    if (n) { c->at_work += n; c->busy_sum += (i64)n * p->minutes; }
    push(f, t, end_of_work(f, t, p->minutes), WORK_END, w);
}

static void strip(const flow *f, moment *t, piece *p) {
    step *e = &f->step[p->step];
    for (i32 c = e->strip; c < e->end_strip; c++) {
        i32 k = f->strip[c].kind;
        note(f, t, REMOVED, p->vehicle, k, f->strip[c].units);
        for (i32 j = 0; j < f->strip[c].units; j++) {
            note(f, t, SENT, -1, k, 1);
            double u = drawn(t->stream_turn, p->key, f->kind[k].key, j);
            push(f, t, end_of_work(f, t, whole(at_share(f->turn + k * POINTS, u))), MADE_GOOD, k);
        }
    }
}
static void part_vehicle(const flow *f, moment *t, i32 i, i32 s) {
    note(f, t, PARTED, f->piece[i].vehicle, s, 0);
    for (i32 one = i; one < i + 2; one++) {
        f->piece[one].finished = (i32)t->now;
        f->piece[one].held = -2 - s;
        ready(f, t, one, f->piece[one].first_step);
    }
}
static void work_end(const flow *f, moment *t, i32 w) {
    i32 i = f->part[w].piece, n = f->need[f->part[w].need].need, at = f->need[f->part[w].need].crew;
    piece *p = &f->piece[i];
    if (n) {
        crew *c = &f->crew[at];
        count_owed(t, c);
        c->at_work -= n;
        t->crews |= 1ull << at;
    }
    note(f, t, ENDED, p->vehicle, n ? at : -1, p->number);
    if (--p->parts_left) return;
    step *e = &f->step[p->step];
    i32 s = e->stage;
    if (p->number == 0) {
        i32 begun = f->part[w].since;
        p->work += (i32)t->worked - begun;
        if (begun != p->since) f->waits[p->vehicle * f->causes + f->crew[at].cause] += begun - p->since;
    }
    p->since = (i32)t->worked;
    note(f, t, FINISHED, p->vehicle, s, p->number);
    p->finished = (i32)t->now;
    strip(f, t, p);
    switch (e->then) {
    case GO_ON: ready(f, t, i, p->step + 1); break;
    case PART: part_vehicle(f, t, i, s); break;
    case STORE:
        free_place(f, t, p->held);
        p->held = -1;
        JOIN(t->store, f->piece, i);
        t->stored_sum -= t->worked;
        note(f, t, STORED, p->vehicle, s, p->number);
        t->marriage_dirty = 1;
        break;
    case MARRY: JOIN(t->marriage, f->piece, i); t->marriage_dirty = 1; break;
    default:
        free_place(f, t, p->held);
        p->held = -1;
        f->released[p->vehicle] = t->now;
        t->inside--;
        t->inside_sum += t->worked;
        note(f, t, RELEASED, p->vehicle, -1, 0);
        t->gate_dirty = 1;
    }
}
static void try_marriage(const flow *f, moment *t) {
    if (!t->marriage.count || !t->store.count) return;
    i32 i = t->marriage.head, other = t->store.head;
    CALL(t->marriage, f->piece);
    CALL(t->store, f->piece);
    t->stored_sum += t->worked;
    note(f, t, MARRIED, f->piece[i].vehicle, f->step[f->marriage_step].stage, f->piece[other].vehicle);
    wait_ends(f, t, &f->piece[i], (i32)(1 + f->stages + f->kinds));
    if (t->marriage.count) t->marriage_dirty = 1;
    ready(f, t, i, (i32)f->marriage_step);
}
static void admit(const flow *f, moment *t) {
    if (!t->gate.count) return;
    i32 i = t->gate.head;
    CALL(t->gate, f->piece);
    t->inside++;
    t->inside_sum -= t->worked;
    note(f, t, ADMITTED, f->piece[i].vehicle, -1, 0);
    f->piece[i].finished = (i32)t->now;
    ready(f, t, i, 0);
    if (t->gate.count) t->gate_dirty = 1;
}
static void settle(const flow *f, moment *t) {
    for (;;) {
        if (t->gate_dirty) { t->gate_dirty = 0; admit(f, t); }
        else if (t->marriage_dirty) { t->marriage_dirty = 0; try_marriage(f, t); }
        else if (t->stages) { i32 s = __builtin_ctzll(t->stages); t->stages &= t->stages - 1; try_position(f, t, s); }
        else if (t->kinds) { i32 k = __builtin_ctzll(t->kinds); t->kinds &= t->kinds - 1; serve(f, t, k); }
        else if (t->crews) { i32 c = __builtin_ctzll(t->crews); t->crews &= t->crews - 1; try_start(f, t, c); }
        else return;
    }
}
static void morning(const flow *f, moment *t, i64 day) {
    for (i32 c = 0; c < f->crews; c++) {
        if (f->crew[c].people >= 0) {
            count_owed(t, &f->crew[c]);
            f->crew[c].size = f->crew[c].people;
            f->crew[c].there_sum += f->crew[c].size * f->length;
        }
        t->crews |= 1ull << c;
    }
    push(f, t, opening(f, day + 1), MORNING, day + 1);
}

/* Runs from the start to the end; gives the number of rows. */
i64 run(flow *f) {
    moment t = {0};
    t.free_order = -1;
    t.stream_time = stepped(f->base, STAGE_TIME);
    t.stream_turn = stepped(f->base, TURN);
    for (i32 k = 0; k < f->kinds; k++) f->kind[k].pool_sum = 0;
    set_now(f, &t, f->start);
    i64 first = t.into == 0 ? t.day : t.next_day;
    push(f, &t, opening(f, first), MORNING, first);
    for (;;) {
        i64 coming = t.coming < f->vehicles ? f->arrival[t.coming] : FAR, key;
        if (t.due && f->heap[0] < coming) key = take_first(f, &t);
        else if (coming == FAR) return t.rows;
        else { key = coming; t.coming++; }
        i64 subject = key & (((i64)1 << RANK_SHIFT) - 1);
        set_now(f, &t, key >> MINUTE_SHIFT);
        switch ((key >> RANK_SHIFT) & 15) {
        case WORK_END: work_end(f, &t, (i32)subject); break;
        case CREW_FREE: t.crews |= 1ull << subject; break;
        case MADE_GOOD:
            f->kind[subject].pool++;
            f->kind[subject].pool_sum -= t.worked;
            note(f, &t, SERVICEABLE, -1, (i32)subject, 1);
            t.kinds |= 1ull << subject;
            break;
        case MORNING: morning(f, &t, subject); break;
        default:
            f->piece[2 * subject].since = (i32)t.worked;
            note(f, &t, ARRIVED, (i32)subject, -1, 0);
            JOIN(t.gate, f->piece, (i32)(2 * subject));
            t.gate_dirty = 1;
        }
        settle(f, &t);
    }
}
