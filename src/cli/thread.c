/* Threads of the program. */
#include "cli.h"

bool iol_cli_thread(pthread_t *thread, void *(*run)(void *), void *context) {
    pthread_attr_t attributes;
    if (pthread_attr_init(&attributes) != 0) return false;
    bool good =
        pthread_attr_setstacksize(&attributes, 2 << 20) == 0 && pthread_create(thread, &attributes, run, context) == 0;
    pthread_attr_destroy(&attributes);
    return good;
}
