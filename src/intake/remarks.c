/* Remarks by the path of the object that they stand in. */
#include "remarks.h"

#include <string.h>

#include "tables/say.h"

void iol_remarks_start(iol_remarks *remarks, char *texts, size_t size) {
    remarks->count = 0;
    remarks->used = 0;
    remarks->size = size;
    remarks->texts = texts;
}

static bool add(iol_remarks *r, const char *object, const char *name, const char *text) {
    size_t length = strlen(text) + 1;
    bool fits = strlen(object) < IOL_REMARK_PATH && strlen(name) < IOL_REMARK_NAME && r->size - r->used >= length;
    if (!fits || r->count == IOL_REMARKS_MOST) return false;
    iol_remark *item = &r->item[r->count++];
    memcpy(item->object, object, strlen(object) + 1);
    memcpy(item->name, name, strlen(name) + 1);
    memmove(r->texts + r->used, text, length);
    item->text = r->texts + r->used;
    r->used += length;
    return true;
}

/* A remark of the file is read where it is kept. */
static bool take(iol_remarks *r, const char *object, const char *name, iol_view text) {
    char *at = r->texts + r->used;
    return iol_view_text(text, at, r->size - r->used) && add(r, object, name, at);
}

static bool walk(iol_remarks *r, iol_view v, const char *path) {
    iol_view key = {NULL, NULL}, item = {NULL, NULL};
    char name[IOL_REMARK_NAME], inside[IOL_REMARK_PATH];
    bool good = true;
    for (int place = 0; good && iol_view_each(v, &item); place++) {
        inside[0] = '\0';
        iol_append(inside, sizeof inside, path);
        iol_append(inside, sizeof inside, "/");
        iol_append_number(inside, sizeof inside, place);
        good = walk(r, item, inside);
    }
    while (good && iol_view_each_member(v, &key, &item)) {
        if (!iol_view_text(key, name, sizeof name)) return key.at[1] != '/';
        inside[0] = '\0';
        iol_append(inside, sizeof inside, path);
        iol_append(inside, sizeof inside, "/");
        iol_append(inside, sizeof inside, name);
        const bool schema = !path[0] && strcmp(name, "$schema") == 0; /* kept like a remark */
        good = schema || (name[0] == '/' && name[1] == '/') ? take(r, path, name, item) : walk(r, item, inside);
    }
    return good;
}

bool iol_remarks_read(iol_remarks *remarks, iol_view root) { return walk(remarks, root, ""); }

bool iol_remarks_set(iol_remarks *remarks, const char *pointer, const char *text) {
    char object[IOL_REMARK_PATH] = "", name[IOL_REMARK_NAME] = "//";
    const char *key = strrchr(pointer, '/');
    iol_append_bytes(object, sizeof object, pointer, (size_t)(key - pointer));
    iol_append(name, sizeof name, key + 1);
    for (int i = 0; i < remarks->count; i++)
        if (strcmp(remarks->item[i].object, object) == 0 && strcmp(remarks->item[i].name, name) == 0)
            remarks->item[i] = remarks->item[--remarks->count], i = remarks->count;
    return add(remarks, object, name, text);
}

void iol_remark_path_moved(char path[IOL_REMARK_PATH], const char *list, int place) {
    char moved[IOL_REMARK_PATH] = "";
    size_t length = strlen(list);
    int index = 0;
    if (strncmp(path, list, length) != 0 || path[length] != '/') return;
    const char *p = path + length + 1;
    for (; *p >= '0' && *p <= '9'; p++) index = 10 * index + (*p - '0');
    if (index < place) return;
    iol_append(moved, sizeof moved, list);
    iol_append(moved, sizeof moved, "/");
    iol_append_number(moved, sizeof moved, index + 1);
    iol_append(moved, sizeof moved, p);
    memcpy(path, moved, sizeof moved);
}

void iol_remarks_moved(iol_remarks *remarks, const char *list, int place) {
    for (int i = 0; i < remarks->count; i++) iol_remark_path_moved(remarks->item[i].object, list, place);
}

/* ---- for the writer ---- */

/* The object at this path has the key that the remark is named after. */
static bool has_key(const iol_remark *remark) {
    char path[IOL_REMARK_PATH + IOL_REMARK_NAME] = "";
    iol_append(path, sizeof path, remark->object);
    iol_append(path, sizeof path, "/");
    iol_append(path, sizeof path, remark->name + 2);
    return remark->name[2] && iol_field_at(iol_object_case, path);
}

static const char *of_object(void *context, const char *object, int n, const char **name) {
    iol_remarks *r = context;
    for (int i = 0; i < r->count; i++)
        if (strcmp(r->item[i].object, object) == 0 && !has_key(&r->item[i]) && n-- == 0) {
            *name = r->item[i].name;
            return r->item[i].text;
        }
    return NULL;
}

static const char *of_key(void *context, const char *object, const char *key) {
    iol_remarks *r = context;
    for (int i = 0; i < r->count; i++)
        if (strcmp(r->item[i].object, object) == 0 && strcmp(r->item[i].name + 2, key) == 0) return r->item[i].text;
    return NULL;
}

static bool below(void *context, const char *object) {
    const iol_remarks *r = context;
    size_t length = strlen(object);
    for (int i = 0; i < r->count; i++) {
        const char *at = r->item[i].object;
        if (strncmp(at, object, length) == 0 && (!at[length] || at[length] == '/')) return true;
    }
    return false;
}

iol_remarks_source iol_remarks_source_of(iol_remarks *remarks) {
    return (iol_remarks_source){.of_object = of_object, .of_key = of_key, .below = below, .context = remarks};
}
