"""Logs written by hand, row by row: what the keeper wrote, and beside it what a
careful human makes of it."""

from corpus import ACTION, ATTEMPT, CLUTCH, READING, SHARED, Formula, Log, Styled, where

CODES = dict(
    DATE="date-unreadable|date-partial|date-ambiguous|date-out-of-range|date-conflict|date-order|contradiction|time-unreadable",
    NUM="number-unreadable|number-open|number-range|number-bound|count-word|unit-unknown|unit-missing|implausible|zero-not-possible|contradiction|cell-error|formula-empty|date-unreadable",
    YES="yes-no-unreadable|contradiction|blank-not-no|entry-unsure|count-word",
    SPEC="species-ambiguous|species-unknown|species-missing|row-incomplete",
    SEX="sex-ratio|number-unreadable|number-open|count-word|number-range|date-unreadable",
    LOSS="loss-unknown|entry-unsure|contradiction",
    ENTRY="entry-unsure|number-unreadable|count-word|yes-no-unreadable|contradiction|row-incomplete|row-skipped|date-unreadable",
    ROW="row-incomplete|row-duplicate|row-skipped|contradiction|entry-unsure|species-missing|date-unreadable|number-unreadable",
    UNIT="unit-missing|unit-unknown|implausible|number-unreadable",
    SENSOR="sensor-fault|implausible|number-unreadable|unusual",
    HEAD="heading-unknown|heading-twice|unit-missing|unit-unknown|header-unsure|not-a-log",
)

TABLES = dict(attempts=ATTEMPT, clutches=CLUTCH, readings=READING, actions=ACTION)
EXTRA = {"eggs": ["clutches.eggs_low", "clutches.eggs_high", "clutches.eggs_method", "attempts.spawned"], "eggs_low": ["clutches.eggs"],
         "hatched": ["attempts.spawned"], "spawned_at": ["attempts.spawned"], "loss": ["clutches.lost_at"], "species": ["attempts.species_as_written"]}


DIARY_TELLS = "species_as_written notes ended ph conductivity_us_cm light_hours live_food water_change_pct refill_delta_c level_change_cm flow rearranged conditioning_days".split()


def fields(names):
    """The columns of the tables that columns of a log tell, by the names of the tables' columns."""
    out = []
    for n in names.replace(",", " ").split():
        if "." in n:
            out.append(n)
            continue
        out += where(n) + EXTRA.get(n, [])
        if n in ("laid_to", "lost_at", "last_seen"):
            out.append("clutches." + n)
        if n == "at":
            out += ["readings.at", "actions.at"]
        if n == "system":
            out += ["readings.system", "actions.system"]
        if n == "value":
            out += ["readings.value"]
        if n == "amount":
            out += ["actions.amount", "actions.unit", "actions.action"]
    return " ".join(dict.fromkeys(out))


class Page:
    """One sheet. Every method that takes cells writes the next row and gives its number."""

    def __init__(self, sheet, **always):
        self.sheet, self.always = sheet, always

    def row(self, cells, d=""):
        """cells: a list, or for text files the line as it stands. d: doubtful cells, "E:NUM:eggs F:DATE:hatch_to" (no fields = a row where the letter is "-")."""
        n = self.sheet.put(*cells) if isinstance(cells, (list, tuple)) else self.sheet.put("\0" + cells)
        for one in d.split():
            letter, codes, names = (one.split(":") + [""])[:3]
            self.sheet.doubt(n, "" if letter == "-" else letter, CODES[codes], fields(names))
        return n

    def head(self, cells, *told):
        n = self.row(cells)
        self.sheet.columns(n, [("", fields(t)) for t in told])
        return n

    def ac(self, cells, d="", clutch=None, sowhat=True, **v):
        """An attempt, and its clutch if it spawned."""
        n = self.row(cells, d)
        v = {**self.always, **v}
        for k in ("species_as_written", "notes", "ended"):
            v.setdefault(k, "*")
        made = [k for k in v if k in CLUTCH and k not in ATTEMPT and v[k] is not None]
        if made and "spawned" not in v:
            v["spawned"] = True
        if v.get("spawned_at") and "spawned" not in v:
            v["spawned"] = True
        at = self.sheet.expect("attempts", n, **{k: v[k] for k in v if k in ATTEMPT})
        if clutch is None:
            clutch = bool(made) or v.get("spawned") is True
        if clutch:
            c = {k: v[k] for k in v if k in CLUTCH and (k not in ATTEMPT or k in SHARED)}
            if c.get("eggs") is not None:
                c.setdefault("eggs_method", "counted")
            if "spawned_at" in v:
                c.setdefault("laid_to", v["spawned_at"])
            if "loss" in c:
                c.setdefault("lost_at", "*")
            self.sheet.expect("clutches", n, attempt=at, **c)
        return n

    def a(self, cells, d="", **v):
        """An attempt alone, in whatever else it says."""
        return self.ac(cells, d, clutch=False, **v)

    def c(self, cells, d="", attempt="*", **v):
        n = self.row(cells, d)
        v = {**self.always, **v}
        if v.get("eggs") is not None:
            v.setdefault("eggs_method", "counted")
        self.sheet.expect("clutches", n, attempt=attempt, **{k: x for k, x in v.items() if k in CLUTCH})
        return n

    def begins(self, n, **v):
        v = {**self.always, **v}
        # What a diary says of the water and of husbandry is kept as readings and actions, and may stand at the attempt as well.
        for k in DIARY_TELLS:
            v.setdefault(k, "*")
        self.sheet.expect("attempts", n, **{k: x for k, x in v.items() if k in ATTEMPT})
        return n

    def clutch(self, n, attempt, **v):
        v = {**self.always, **v}
        if v.get("eggs") is not None:
            v.setdefault("eggs_method", "counted")
        for k in ("females", "temperature_c"):
            v.setdefault(k, "*")
        self.sheet.expect("clutches", n, attempt="|".join([self.sheet.file.path, self.sheet.name, str(attempt)]), **{k: x for k, x in v.items() if k in CLUTCH})

    def read(self, n, at, quantity, value, **v):
        self.sheet.expect("readings", n, **{"place": "*", "system": self.always.get("system"), **v, "at": at, "quantity": quantity, "value": value})

    def act(self, n, at, action, amount="*", unit="*", **v):
        self.sheet.expect("actions", n, **{"system": self.always.get("system"), **v, "at": at, "action": action, "amount": amount, "unit": unit})


def one(name, about, path, producer="text", sheet="", always=None, **options):
    """A log of one file and one sheet."""
    log = Log(name, about)
    f = log.file(path, producer, **options)
    return log, Page(f.sheet(sheet), **(always or {}))
