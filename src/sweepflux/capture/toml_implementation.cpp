// The bodies of toml++, once: a program that links this library needs no shared library for them.
#define TOML_IMPLEMENTATION
#include <toml++/toml.h>
