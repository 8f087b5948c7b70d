"""A limit on the memory of a program under test."""

import resource
import subprocess


def limit_for(program, most_bytes):
    """For preexec_fn. None, and said so, for a program that cannot even start under a limit: the
    address sanitizer reserves terabytes of addresses."""
    def limit():
        resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))
    started = subprocess.run([program, "--version"], stdin=subprocess.DEVNULL,
                             capture_output=True, preexec_fn=limit, check=False)
    if b"AddressSanitizer" in started.stderr:
        print("built with the address sanitizer: memory is not limited")
        return None
    return limit
