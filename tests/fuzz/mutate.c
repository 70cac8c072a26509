/* mutate.c - changes plain values as trees, for the fuzzers of what reads plain values: bytes changed
 * at random are mostly no value at all. One entry is taken out, replaced, or copied elsewhere. */
#include "fuzz.h"

#include "windassay/json.h"

#include <stdlib.h>
#include <string.h>

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t most);
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned int seed);

typedef struct change {
    uint64_t random;
    size_t target;         /* which entry, counted in order of the tree */
    size_t at;             /* entries seen so far                       */
    const wa_value *donor; /* some entry of the same value              */
} change;

static size_t draw(change *c, size_t below)
{
    c->random = c->random * 6364136223846793005u + 1442695040888963407u;
    return (size_t)(c->random >> 33) % below;
}

static size_t entries(const wa_value *v)
{
    size_t n = 1;
    for (size_t i = 0; i < wa_count(v); i++)
        n += entries(wa_at(v, i));
    return n;
}

static const wa_value *entry_at(const wa_value *v, size_t *k)
{
    if ((*k)-- == 0)
        return v;
    for (size_t i = 0; i < wa_count(v); i++) {
        const wa_value *found = entry_at(wa_at(v, i), k);
        if (found != NULL)
            return found;
    }
    return NULL;
}

static wa_value *other_number(change *c)
{
    static const double NUMBERS[] = {
        0,      1,    -1,    2,    3,     7,          0.5,
        1e-300, 1e16, 1e300, 1e15, -1e19, 4294967295, 1.7976931348623157e308};
    return wa_number(NUMBERS[draw(c, sizeof NUMBERS / sizeof *NUMBERS)]);
}

static wa_value *other_text(change *c, const wa_value *v)
{
    enum { ROOM = 64 };
    uint8_t bytes[2 * ROOM];
    size_t n = wa_length_of(v);
    if (n > ROOM)
        n = ROOM;
    if (n > 0)
        memcpy(bytes, wa_string_of(v), n);
    return wa_bytes(bytes, LLVMFuzzerMutate(bytes, n, ROOM + draw(c, ROOM)));
}

/* What stands in place of the target; NULL: nothing does. */
static wa_value *instead(change *c, const wa_value *v)
{
    wa_value *list;
    switch (draw(c, 9)) {
    case 0:
        return NULL;
    case 1:
        return wa_null();
    case 2:
        return other_number(c);
    case 3:
    case 4:
        return other_text(c, v);
    case 5:
        return draw(c, 2) == 0 ? wa_list() : wa_map();
    case 6:
        return wa_bool(draw(c, 2) == 0);
    case 7:
        list = wa_list();
        wa_list_add(list, wa_value_copy(v));
        wa_list_add(list, wa_value_copy(c->donor));
        return list;
    default:
        return wa_value_copy(c->donor);
    }
}

static wa_value *changed(change *c, const wa_value *v)
{
    if (c->at++ == c->target)
        return instead(c, v);
    if (wa_value_kind(v) != WA_LIST && wa_value_kind(v) != WA_MAP)
        return wa_value_copy(v);
    wa_value *copy = wa_value_kind(v) == WA_LIST ? wa_list() : wa_map();
    for (size_t i = 0; i < wa_count(v); i++) {
        size_t here = c->at;
        wa_value *item = changed(c, wa_at(v, i));
        if (item == NULL)
            continue;
        if (wa_value_kind(v) == WA_MAP) {
            wa_map_set(copy, wa_key(v, i), item);
            continue;
        }
        wa_list_add(copy, item);
        if (here == c->target && draw(c, 2) == 0) /* beside it instead of in its place */
            wa_list_add(copy, wa_value_copy(wa_at(v, i)));
    }
    return copy;
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned int seed)
{
    change c = {.random = seed};
    wa_value *v = draw(&c, 5) == 0 ? NULL : fuzz_value(data, size);
    if (v == NULL)
        return LLVMFuzzerMutate(data, size, most);
    size_t donor = draw(&c, entries(v));
    c.donor = entry_at(v, &donor);
    c.target = draw(&c, entries(v));
    wa_value *other = changed(&c, v);
    wa_text t = WA_TEXT_INIT;
    bool json = data[0] == '{' || data[0] == '[';
    if (!json || wa_json_write(&t, other, WA_JSON_COMPACT, NULL) != WA_OK)
        wa_value_encode(other, &t);
    size_t n = t.length;
    if (n > 0 && n <= most)
        memcpy(data, t.at, n);
    else
        n = LLVMFuzzerMutate(data, size, most);
    wa_text_release(&t);
    wa_value_free(other);
    wa_value_free(v);
    return n;
}
