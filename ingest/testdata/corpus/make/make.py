"""Writes the logs of the corpus anew: python3 make.py [NAME...]. See SOURCES.md."""

import sys

import logs_attempts

MODULES = [logs_attempts]
for name in ("logs_books", "logs_layouts", "logs_loggers"):
    try:
        MODULES.append(__import__(name))
    except ModuleNotFoundError as e:
        if e.name != name:
            raise

for module in MODULES:
    for make in module.LOGS:
        log = make()
        if len(sys.argv) > 1 and log.name not in sys.argv[1:]:
            continue
        log.write()
        n = {t: len(x) for t, x in log.expected.items() if x}
        print(log.name, n, "doubtful:", len(log.doubts), flush=True)
