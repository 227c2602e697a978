/* What a writer hands over, kept as one text; include it after check.h. */
#ifndef IOL_TESTS_KEPT_H
#define IOL_TESTS_KEPT_H

static struct {
    char bytes[2 << 20];
    size_t used;
} kept;

static bool keep(void *context, const char *bytes, size_t length) {
    (void)context;
    if (length >= sizeof kept.bytes - kept.used) return false;
    memcpy(kept.bytes + kept.used, bytes, length);
    kept.used += length;
    kept.bytes[kept.used] = '\0';
    return true;
}

#endif
