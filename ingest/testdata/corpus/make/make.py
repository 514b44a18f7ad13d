"""Writes the logs of the corpus anew: python3 make.py [NAME...]. See SOURCES.md."""

import sys

import blind_one_a
import blind_one_b
import blind_five
import blind_four
import blind_nine
import blind_ten
import blind_eight
import blind_seven
import blind_six
import blind_three
import blind_two
import logs_attempts
import logs_books
import logs_hard
import logs_layouts
import logs_loggers

MODULES = [blind_one_a, blind_one_b, blind_two, blind_three, blind_four, blind_five, blind_six, blind_seven, blind_eight, blind_nine, blind_ten, logs_attempts, logs_books, logs_layouts, logs_loggers, logs_hard]

for module in MODULES:
    for make in module.LOGS:
        log = make()
        if len(sys.argv) > 1 and log.name not in sys.argv[1:]:
            continue
        log.write()
        n = {t: len(x) for t, x in log.expected.items() if x}
        print(log.name, n, "doubtful:", len(log.doubts), flush=True)
