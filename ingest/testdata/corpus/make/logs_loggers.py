"""Exports of loggers: preambles, sentinels, gaps, clock changes, units, overlapping exports."""

import datetime as dt
import math
import random
from zoneinfo import ZoneInfo

from corpus import *

BERLIN = ZoneInfo("Europe/Berlin")


def local(utc):
    return utc.replace(tzinfo=dt.timezone.utc).astimezone(BERLIN).replace(tzinfo=None)


def tank_thermometer():
    log = Log("logger-thermometer", "Python csv: preamble, serial number, ISO times of the local clock, broken-sensor values, gaps, the hour that comes twice in autumn and the one that never comes in spring, half a day stuck.")
    for path, start, hours in (("Gudrun Achleitner/T1 autumn.csv", dt.datetime(2024, 10, 25, 22), 70), ("Gudrun Achleitner/T1 spring.csv", dt.datetime(2025, 3, 29, 12), 60)):
        s = log.file(path, "text").sheet()
        s.put("Logger type: TempStick")
        s.put("Serial no.: 00417")
        s.put("Tank: T1")
        s.put("Sampling interval: 60 min")
        s.put()
        s.columns(s.put("Date time", "Temperature (°C)", "Battery (V)"), [("Date time", ["readings.at"]), ("Temperature (°C)", ["readings.value"]), ("Battery (V)", [])])
        rng = random.Random(401)
        stuck = None
        spring = "spring" in path
        for i in range(hours):
            if i in (31, 32, 33):
                continue  # a gap
            at = start + dt.timedelta(hours=i)  # the logger's clock: it does not know of summer time
            if not spring and at >= dt.datetime(2024, 10, 27, 3):
                at -= dt.timedelta(hours=1)  # it does: the clock goes back, and 02:00 comes again
            v = "%.1f" % (25 + math.sin(i / 4) + rng.uniform(-0.3, 0.3))
            if spring and 20 <= i < 40:
                v = stuck = stuck or v
            n = 1 + len(s.rows)
            fine, code = True, None
            if at.date() == dt.date(2024, 10, 27) and at.hour == 2 or at.date() == dt.date(2025, 3, 30) and at.hour == 2:
                s.put(at.strftime("%Y-%m-%d %H:%M:%S"), v, "3.01")
                s.doubt(n, "", "time-unreadable")
                continue
            bad = {4: ("-127.0", "sensor-fault|implausible"), 9: ("85.0", "sensor-fault|implausible"), 14: ("ERR", "number-unreadable|unit-unknown"), 45: ("999", "sensor-fault|implausible")}.get(i)
            if bad:
                s.put(at.strftime("%Y-%m-%d %H:%M:%S"), bad[0], "3.01")
                s.doubt(n, 1, bad[1])
                continue
            if i in (17, 48):
                s.put(at.strftime("%Y-%m-%d %H:%M:%S"), "---" if i == 17 else "NaN", "3.01")
                continue
            s.put(at.strftime("%Y-%m-%d %H:%M:%S"), v, "3.01")
            s.expect("readings", n, system="T1", place="*", at=at, quantity="temperature_c", value=float(v))
        if spring:
            first = next(i for i, r in enumerate(s.rows) if len(r) > 1 and r[1] == stuck) + 1
            last = max(i for i, r in enumerate(s.rows) if len(r) > 1 and r[1] == stuck) + 1
            s.doubt("%d-%d" % (first, last), "B", "sensor-fault|unusual", absent=False)
    return log


def barometer_de():
    log = Log("logger-barometer-de", "R write.csv2 in Windows-1252: semicolons, decimal commas, day.month.year, hPa; a step that no weather makes; impossible values.")
    s = log.file("Hanno Rübsamen/Barometer.csv", "R-text", how="csv2-latin").sheet()
    s.columns(s.put("Zeitstempel", "Luftdruck (hPa)", "Raumtemperatur (°C)"), [("Zeitstempel", ["readings.at"]), ("Luftdruck (hPa)", ["readings.value"]), ("Raumtemperatur (°C)", ["readings.value"])])
    rng = random.Random(411)
    p = 1013.0
    for i in range(80):
        at = dt.datetime(2024, 5, 14, 6) + dt.timedelta(hours=i)
        p += rng.uniform(-0.9, 0.9)
        shown, room = round(p, 1), round(20 + rng.uniform(-1, 1), 1)
        n = 1 + len(s.rows)
        wp, wr = comma(shown), comma(room)
        skip = set()
        if i in (12, 40):
            wp = "0" if i == 12 else "2013,5"
            s.doubt(n, 1, "implausible|zero-not-possible")
            skip.add("p")
        if i == 30:
            wr = "-127"
            s.doubt(n, 2, "sensor-fault|implausible")
            skip.add("r")
        if i == 55:
            wp = comma(round(p + 28, 1))
            s.doubt("%d-%d" % (n, n + 1), 1, "implausible|unusual|reading-conflict|sensor-fault", absent=False)
            skip.add("*")
        s.put(at.strftime("%d.%m.%Y %H:%M"), wp, wr)
        if "p" not in skip:
            s.expect("readings", n, place="*", system=None, at=at, quantity="air_pressure_hpa", value="*" if "*" in skip else shown)
        if "r" not in skip:
            s.expect("readings", n, place="*", system=None, at=at, quantity="room_temperature_c", value=room)
    return log


def barometer_us():
    log = Log("logger-barometer-us", "Python csv: month first with AM and PM, inches of mercury, Fahrenheit; one column of each unit.")
    s = log.file("Imogen Castellanos/weather.csv", "text", quoting=1).sheet()
    s.columns(s.put("Timestamp", "Barometer (inHg)", "Room temp (°F)"), [("Timestamp", ["readings.at"]), ("Barometer (inHg)", ["readings.value"]), ("Room temp (°F)", ["readings.value"])])
    rng = random.Random(421)
    for i in range(60):
        at = dt.datetime(2024, 7, 11, 9, 30) + dt.timedelta(hours=3 * i)
        b, f = round(29.9 + rng.uniform(-0.1, 0.1), 2), round(70 + rng.uniform(-3, 3), 1)
        n = 1 + len(s.rows)
        wb, wf = "%.2f" % b, "%.1f" % f
        if i in (7, 33, 50):
            wb = {7: "2.99", 33: "low", 50: "299.2"}[i]
            s.doubt(n, 1, "implausible|number-unreadable|count-word")
        else:
            s.expect("readings", n, place="*", at=at, quantity="air_pressure_hpa", value=b * 33.86388640341)
        if i in (20, 41):
            wf = "--" if i == 20 else "710"
            if i == 41:
                s.doubt(n, 2, "implausible")
        else:
            s.expect("readings", n, place="*", at=at, quantity="room_temperature_c", value=(f - 32) * 5 / 9)
        s.put(at.strftime("%m/%d/%Y %I:%M %p"), wb, wf)
    return log


def overlapping():
    log = Log("logger-overlap", "LibreOffice and gnumeric: two exports of one logger overlap; equal readings are kept once, one hour differs and neither is used. Times in UTC, said above the headings.")
    rng = random.Random(431)
    values = [round(24 + rng.uniform(-1, 1), 2) for _ in range(60)]
    kept = {}
    for path, producer, a, b in (("Jorge Etxeberria/a.xlsx", "libreoffice-xlsx", 0, 36), ("Jorge Etxeberria/b.xlsx", "gnumeric-xlsx", 24, 60)):
        s = log.file(path, producer).sheet("export")
        s.put("Time zone: UTC")
        s.put("Tank: J4")
        s.columns(s.put("Timestamp", "Temperature (°C)", "pH"), [("Timestamp", ["readings.at"]), ("Temperature (°C)", ["readings.value"]), ("pH", ["readings.value"])])
        for i in range(a, b):
            utc = dt.datetime(2024, 6, 3, 8) + dt.timedelta(hours=i)
            n = s.put(utc, values[i] + (1 if i == 30 and a else 0), 7.1)
            if i == 30:
                s.doubt("%d" % n, 1, "reading-conflict") if a else None
            elif not (a and i < 36):
                s.expect("readings", n, system="J4", place="*", at=local(utc), quantity="temperature_c", value=values[i])
            if not (a and i < 36):
                s.expect("readings", n, system="J4", place="*", at=local(utc), quantity="ph", value=7.1)
    return log


def tanks_across():
    log = Log("logger-tanks-across", "gnumeric ods: one column a tank, dates and clock times in two columns, a summer-time note in the preamble.")
    s = log.file("Kirsi Lehtovaara/probes.ods", "gnumeric-ods").sheet("probes")
    s.put("Probe export, times are local")
    heads = ["Date", "Time", "Tank 1 temp (°C)", "Tank 2 temp (°C)"]
    s.columns(s.put(*heads), list(zip(heads, [["readings.at"], ["readings.at"], ["readings.value"], ["readings.value"]])))
    rng = random.Random(441)
    for i in range(40):
        at = dt.datetime(2024, 8, 2, 0) + dt.timedelta(hours=2 * i)
        n = 1 + len(s.rows)
        a, b = round(25 + rng.uniform(-1, 1), 1), round(23 + rng.uniform(-1, 1), 1)
        w = [a, b]
        if i in (9, 26, 31):
            w[i % 2] = {9: -127, 26: "ERR", 31: 850}[i]
            s.doubt(n, 2 + i % 2, "sensor-fault|implausible|number-unreadable|unit-unknown")
        for tank, v in (("1", w[0]), ("2", w[1])):
            if v in (a, b):
                s.expect("readings", n, system="*", place="*", at=at, quantity="temperature_c", value=v)
        s.put(at.date(), Styled(at.time(), "hh:mm"), *w)
    return log


LOGS = [tank_thermometer, barometer_de, barometer_us, overlapping, tanks_across]
