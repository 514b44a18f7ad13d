"""What the scripts that write the corpus share.

A log is written down twice at once: the cells as its keeper would write them, and
what a careful human makes of each row. The second never passes through the
program that is tested. Everything is invented; the seeds are fixed.
"""

import csv
import datetime as dt
import json
import os
import random
import shutil
import subprocess
import tempfile

import openpyxl
from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter

# LibreOffice keeps its settings apart from those of whoever runs this.
PROFILE = os.path.join(tempfile.gettempdir(), "corpus-soffice")

HERE = os.path.dirname(os.path.abspath(__file__))
CORPUS = os.path.dirname(HERE)

ATTEMPT = """keeper system species species_as_written began ended spawned spawned_at males females unsexed
temperature_c ph conductivity_us_cm gh_dh kh_dh nitrate_mg_l light_hours conditioning_days live_food microfauna
leaf_litter water_change_pct refill_delta_c level_change_cm flow rearranged dither tank_mates pressure_change_hpa
notes""".split()
CLUTCH = """keeper system species laid_to eggs eggs_low eggs_high eggs_method fertile hatched free_swimming hatch_to
swim_to lost_at loss last_seen females temperature_c hatch_aid attempt""".split()
READING = "keeper system place at quantity value".split()
ACTION = "keeper system at action amount unit".split()
FIELDS = {"attempts": ATTEMPT, "clutches": CLUTCH, "readings": READING, "actions": ACTION}
KEY = ["source_file", "source_sheet", "source_row"]


def show(v):
    if v is None:
        return "null"
    if v is True:
        return "true"
    if v is False:
        return "false"
    if isinstance(v, dt.datetime):
        return v.strftime("%Y-%m-%dT%H:%M")
    if isinstance(v, dt.date):
        return v.isoformat()
    if isinstance(v, float):
        return repr(round(v, 9))
    return str(v)


class Formula:
    """A formula; LibreOffice and gnumeric work it out and store the result, openpyxl does not."""

    def __init__(self, text):
        self.text = text


class Styled:
    """A value with a number format, a comment, or both."""

    def __init__(self, value, fmt=None, comment=None):
        self.value, self.fmt, self.comment = value, fmt, comment


def plain(cell):
    return cell.value if isinstance(cell, Styled) else cell


class Sheet:
    def __init__(self, file, name):
        self.file, self.name = file, name
        self.rows, self.merges, self.hidden_rows, self.hidden_cols, self.hidden = [], [], [], [], False

    @property
    def log(self):
        return self.file.log

    def put(self, *cells):
        """Adds a row and returns its number. In a text file with line breaks inside
        cells, rows count physical lines."""
        number = 1 + sum(self._lines(r) for r in self.rows)
        self.rows.append(list(cells))
        return number

    def _lines(self, row):
        if not self.file.text:
            return 1
        return 1 + max([str(c).count("\n") for c in row if isinstance(c, str)] or [0])

    def doubt(self, row, column, codes, fields="", absent=True):
        letter = get_column_letter(column + 1) if isinstance(column, int) else column
        self.log.doubts.append([self.file.path, self.name, row, letter, codes, "yes" if absent else "no", fields])

    def expect(self, table, row, **values):
        values = dict(values)
        values.setdefault("keeper", self.file.keeper)
        own = self.log.own if table == "attempts" else []
        line = {f: values.get(f) for f in FIELDS[table] + own}
        unknown = set(values) - set(line)
        assert not unknown, unknown
        line.update(source_file=self.file.path, source_sheet=self.name, source_row=row)
        self.log.expected[table].append(line)
        return "|".join([self.file.path, self.name, str(row)])

    def columns(self, header_row, heads):
        """heads: (heading, fields) from the first column on; fields name table.column."""
        for i, (head, fields) in enumerate(heads):
            self.log.columns.append([self.file.path, self.name, header_row, get_column_letter(i + 1), head, " ".join(fields)])


class File:
    def __init__(self, log, path, producer, keeper=None, **options):
        self.log, self.path, self.producer, self.options = log, path, producer, options
        self.keeper = keeper or path.split("/")[0]
        self.text = producer.startswith("text") or producer.startswith("R-text")
        self.sheets = []

    def sheet(self, name=""):
        s = Sheet(self, name)
        self.sheets.append(s)
        return s


class Log:
    """One case of the corpus: a club folder in little, and what to make of it."""

    def __init__(self, name, about):
        self.name, self.about = name, about
        self.files, self.doubts, self.columns, self.extra = [], [], [], {}
        self.own = []  # columns of the club's own triggers
        self.expected = {t: [] for t in FIELDS}

    def file(self, path, producer, **options):
        f = File(self, path, producer, **options)
        self.files.append(f)
        return f

    def also(self, path, text):
        """A club.toml or a mapping."""
        self.extra[path] = text

    def write(self):
        root = os.path.join(CORPUS, self.name)
        shutil.rmtree(root, ignore_errors=True)
        for f in self.files:
            target = os.path.join(root, "logs", f.path)
            os.makedirs(os.path.dirname(target), exist_ok=True)
            PRODUCERS[f.producer](f, target)
        for path, text in self.extra.items():
            with open(os.path.join(root, path), "w", encoding="utf-8") as out:
                out.write(text)
        os.makedirs(os.path.join(root, "expected"))
        for table, lines in self.expected.items():
            with open(os.path.join(root, "expected", table + ".csv"), "w", encoding="utf-8", newline="") as out:
                w = csv.writer(out, lineterminator="\n")
                columns = FIELDS[table] + (self.own if table == "attempts" else [])
                w.writerow(KEY + columns)
                for line in lines:
                    w.writerow([line[k] for k in KEY] + [show(line[k]) for k in columns])
        for name, head, lines in [
            ("problems", "file sheet row column codes absent fields", self.doubts),
            ("columns", "file sheet header_row column heading fields", self.columns),
        ]:
            with open(os.path.join(root, "expected", name + ".csv"), "w", encoding="utf-8", newline="") as out:
                w = csv.writer(out, lineterminator="\n")
                w.writerow(head.split())
                w.writerows(lines)
        with open(os.path.join(root, "about.txt"), "w", encoding="utf-8") as out:
            out.write(self.about.strip() + "\n")


# ---------------------------------------------------------------- producers

def as_text(cell):
    v = plain(cell)
    if v is None:
        return ""
    if isinstance(v, bool):
        return "TRUE" if v else "FALSE"
    if isinstance(v, dt.datetime):
        return v.strftime("%Y-%m-%d %H:%M")
    if isinstance(v, dt.date):
        return v.isoformat()
    return str(v)


def text(f, target):
    """Python's csv module, or lines joined by hand for files that it would not write."""
    o = f.options
    lines = []
    for row in f.sheets[0].rows:
        if len(row) == 1 and isinstance(row[0], str) and row[0].startswith("\0"):
            lines.append(row[0][1:])  # a line as it stands
            continue
        out = _Line()
        csv.writer(out, delimiter=o.get("delim", ","), quotechar='"', lineterminator="", quoting=o.get("quoting", csv.QUOTE_MINIMAL)).writerow([as_text(c) for c in row])
        lines.append(out.text)
    eol = o.get("eol", "\n")
    doc = eol.join(lines) + ("" if o.get("no_last") else eol)
    enc = o.get("encoding", "utf-8")
    with open(target, "wb") as out:
        out.write(o.get("bom", b"") + doc.encode(enc))


class _Line:
    def __init__(self):
        self.text = ""

    def write(self, s):
        self.text += s


def openpyxl_write(f, target):
    wb = openpyxl.Workbook()
    wb.remove(wb.active)
    if f.options.get("epoch1904"):
        wb.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
    wb.properties.created = wb.properties.modified = dt.datetime(2025, 1, 1)
    for s in f.sheets:
        ws = wb.create_sheet(s.name)
        for i, row in enumerate(s.rows, 1):
            for j, cell in enumerate(row, 1):
                v = plain(cell)
                if v is None:
                    continue
                c = ws.cell(i, j)
                c.value = "=" + v.text if isinstance(v, Formula) else v
                if isinstance(v, str) and not v.startswith("#"):
                    c.data_type = "s"
                if isinstance(v, dt.datetime):
                    c.number_format = "yyyy-mm-dd hh:mm"
                elif isinstance(v, dt.date):
                    c.number_format = "dd.mm.yyyy"
                if isinstance(cell, Styled) and cell.fmt:
                    c.number_format = cell.fmt
                if isinstance(cell, Styled) and cell.comment:
                    c.comment = Comment(cell.comment, "keeper")
        for m in s.merges:
            ws.merge_cells(m)
        for r in s.hidden_rows:
            ws.row_dimensions[r].hidden = True
        for c in s.hidden_cols:
            ws.column_dimensions[c].hidden = True
        if s.hidden:
            ws.sheet_state = "hidden"
    wb.save(target)


def converted(command, ext):
    def write(f, target):
        with tempfile.TemporaryDirectory() as tmp:
            base = os.path.splitext(os.path.basename(target))[0]
            src = os.path.join(tmp, base + ".xlsx")
            openpyxl_write(f, src)
            out = os.path.join(tmp, "out")
            os.makedirs(out)
            command(src, out, ext)
            shutil.move(os.path.join(out, base + "." + ext), target)
    return write


def soffice(src, out, ext):
    subprocess.run(["soffice", "-env:UserInstallation=file://" + PROFILE, "--headless", "--convert-to", ext, "--outdir", out, src], check=True, capture_output=True)


def ssconvert(src, out, ext):
    base = os.path.splitext(os.path.basename(src))[0]
    kind = {"xlsx": "Gnumeric_Excel:xlsx2", "ods": "Gnumeric_OpenCalc:odf"}[ext]
    subprocess.run(["ssconvert", "-T", kind, src, os.path.join(out, base + "." + ext)], check=True, capture_output=True)


def soffice_csv(f, target):
    """LibreOffice opens a workbook and saves it as CSV, in the encoding asked for."""
    with tempfile.TemporaryDirectory() as tmp:
        base = os.path.splitext(os.path.basename(target))[0]
        src = os.path.join(tmp, base + ".xlsx")
        openpyxl_write(f, src)
        subprocess.run(["soffice", "-env:UserInstallation=file://" + PROFILE, "--headless", "--convert-to", "csv:Text - txt - csv (StarCalc):" + f.options["filter"], "--outdir", tmp, src], check=True, capture_output=True)
        shutil.move(os.path.join(tmp, base + ".csv"), target)


def r_script(f, target):
    """R reads the cells and writes them with write.csv, write.csv2, write.table or openxlsx."""
    with tempfile.TemporaryDirectory() as tmp:
        names = []
        for i, s in enumerate(f.sheets):
            path = os.path.join(tmp, "%d.csv" % i)
            with open(path, "w", encoding="utf-8", newline="") as out:
                csv.writer(out).writerows([[as_text(c) for c in row] for row in s.rows])
            names.append(path)
        subprocess.run(["Rscript", "--vanilla", os.path.join(HERE, "write.R"), f.options["how"], target, json.dumps([s.name for s in f.sheets])] + names, check=True, capture_output=True)


def excelize(f, target):
    def cell(c):
        v, fmt = plain(c), c.fmt if isinstance(c, Styled) else None
        note = c.comment if isinstance(c, Styled) else None
        if v is None:
            return None
        if isinstance(v, Formula):
            return {"kind": "formula", "text": v.text, "fmt": fmt, "comment": note}
        if isinstance(v, bool):
            return {"kind": "bool", "number": float(v), "fmt": fmt, "comment": note}
        if isinstance(v, (dt.date, dt.datetime)):
            whole = v if isinstance(v, dt.datetime) else dt.datetime(v.year, v.month, v.day)
            serial = (whole - dt.datetime(1899, 12, 30)) / dt.timedelta(days=1)
            return {"kind": "number", "number": serial, "fmt": fmt or ("yyyy-mm-dd hh:mm" if isinstance(v, dt.datetime) else "dd/mm/yyyy"), "comment": note}
        if isinstance(v, (int, float)):
            return {"kind": "number", "number": float(v), "fmt": fmt, "comment": note}
        return {"kind": "text", "text": v, "fmt": fmt, "comment": note}

    doc = [{"name": s.name, "hidden": s.hidden, "hidden_rows": s.hidden_rows, "hidden_cols": s.hidden_cols, "merges": s.merges, "rows": [[cell(c) for c in r] for r in s.rows]} for s in f.sheets]
    with tempfile.NamedTemporaryFile("w", suffix=".json", encoding="utf-8") as tmp:
        json.dump(doc, tmp)
        tmp.flush()
        subprocess.run(["go", "run", os.path.join(HERE, "excelize.go"), tmp.name, target], check=True, cwd=HERE)


def pandas_csv(f, target):
    import pandas as pd
    rows = f.sheets[0].rows
    pd.DataFrame(rows[1:], columns=rows[0]).to_csv(target, index=False, **f.options.get("to_csv", {}))


def pandas_xlsx(f, target):
    import pandas as pd
    with pd.ExcelWriter(target, engine="openpyxl") as w:
        for s in f.sheets:
            pd.DataFrame(s.rows[1:], columns=s.rows[0]).to_excel(w, sheet_name=s.name, index=False)


PRODUCERS = {
    "text": text,
    "text-pandas": pandas_csv,
    "text-libreoffice": soffice_csv,
    "R-text": r_script,
    "R-xlsx": r_script,
    "pandas": pandas_xlsx,
    "openpyxl": openpyxl_write,
    "libreoffice-xlsx": converted(soffice, "xlsx"),
    "libreoffice-ods": converted(soffice, "ods"),
    "gnumeric-xlsx": converted(ssconvert, "xlsx"),
    "gnumeric-ods": converted(ssconvert, "ods"),
    "excelize": excelize,
}

# ---------------------------------------------------------------- what happened in the tanks

SPECIES = {
    "Danio rerio": dict(en="zebrafish", de="Zebrabärbling", fr="danio zébré", es="pez cebra", eggs=(60, 260), hatch=(2, 3), swim=(2, 4), temp=26.0, group=(2, 3)),
    "Corydoras paleatus": dict(en="peppered cory", de="Marmorierter Panzerwels", fr="corydoras poivré", es="coridora pimienta", eggs=(25, 160), hatch=(4, 6), swim=(2, 3), temp=23.5, group=(3, 2)),
    "Corydoras panda": dict(en="panda cory", de="Pandapanzerwels", fr="corydoras panda", es="coridora panda", eggs=(15, 90), hatch=(4, 5), swim=(2, 3), temp=23.0, group=(4, 3)),
    "Trigonostigma heteromorpha": dict(en="harlequin rasbora", de="Keilfleckbärbling", fr="rasbora arlequin", es="rasbora arlequín", eggs=(30, 120), hatch=(1, 2), swim=(4, 6), temp=26.0, group=(2, 2)),
    "Betta splendens": dict(en="Siamese fighting fish", de="Siamesischer Kampffisch", fr="combattant du Siam", es="luchador de Siam", eggs=(80, 400), hatch=(1, 2), swim=(3, 4), temp=27.0, group=(1, 1)),
    "Apistogramma cacatuoides": dict(en="cockatoo cichlid", de="Kakadu-Zwergbuntbarsch", fr="apisto cacatoès", es="apisto cacatúa", eggs=(40, 120), hatch=(3, 4), swim=(4, 6), temp=26.5, group=(1, 2)),
    "Pterophyllum scalare": dict(en="freshwater angelfish", de="Skalar", fr="scalaire", es="escalar", eggs=(150, 450), hatch=(2, 3), swim=(5, 6), temp=27.0, group=(1, 1)),
}

REMARKS = {
    "en": ["filter cleaned the day before", "eggs on the glass", "storm in the night", "new lamp", "pair restless", "fed Artemia at noon"],
    "de": ["Filter am Vortag gereinigt", "Eier an der Scheibe", "Gewitter in der Nacht", "neue Lampe", "Tiere unruhig", "mittags Artemia gefüttert"],
    "fr": ["filtre nettoyé la veille", "œufs sur la vitre", "orage dans la nuit", "nouvelle lampe", "couple agité", "artémias à midi"],
    "es": ["filtro limpiado la víspera", "huevos en el cristal", "tormenta por la noche", "lámpara nueva", "pareja inquieta", "artemia al mediodía"],
}


def day(y, m, d):
    return dt.date(y, m, d)


def records(seed, n, species, systems, start, chance=0.65, lang="en", gap=(4, 11), longest=7):
    """n attempts one after the other, as plain facts."""
    rng = random.Random(seed)
    at, out = start, []
    for i in range(n):
        sp = species[i % len(species)] if isinstance(species, list) else species
        s = SPECIES[sp]
        began = at
        at = at + dt.timedelta(days=rng.randint(*gap))
        spawned = rng.random() < chance
        r = dict(
            species=sp, species_as_written=sp, system=systems[i % len(systems)], began=began, ended=None, spawned=spawned, spawned_at=None,
            males=s["group"][0] + rng.randint(0, 1), females=s["group"][1] + rng.randint(0, 2), unsexed=None,
            temperature_c=round(s["temp"] + rng.uniform(-1.5, 1.5), 1), ph=round(rng.uniform(6.1, 7.6), 1),
            conductivity_us_cm=rng.randint(110, 420), gh_dh=rng.randint(3, 12), kh_dh=rng.randint(1, 7), nitrate_mg_l=rng.choice([5, 10, 15, 20, 25]),
            light_hours=rng.choice([10, 11, 12, 13, 14]), conditioning_days=rng.choice([7, 10, 14, 14, 21]),
            live_food=rng.random() < 0.5, leaf_litter=rng.random() < 0.4, rearranged=rng.random() < 0.2, tank_mates=rng.random() < 0.3, dither=rng.random() < 0.3,
            flow=rng.random() < 0.4, microfauna=rng.random() < 0.4,
            water_change_pct=rng.choice([10, 15, 20, 25, 30, 40, 50]), level_change_cm=None, pressure_change_hpa=round(rng.uniform(-12, 9), 1),
            notes=rng.choice(REMARKS[lang]) if rng.random() < 0.35 else None, eggs=None, eggs_low=None, eggs_high=None, eggs_method=None,
            fertile=None, hatched=None, free_swimming=None, hatch_to=None, swim_to=None, lost_at=None, loss=None, last_seen=None, hatch_aid=None,
        )
        r["refill_c"] = round(r["temperature_c"] - rng.choice([0, 1, 2, 3, 4, 5]) - rng.choice([0, 0.5]), 1)
        r["refill_delta_c"] = round(r["refill_c"] - r["temperature_c"], 6)
        if spawned:
            r["spawned_at"] = began + dt.timedelta(days=rng.randint(1, longest))
            r["eggs"] = rng.randint(*s["eggs"])
            r["fertile"] = int(r["eggs"] * rng.uniform(0.6, 0.97))
            if rng.random() < 0.85:
                r["hatched"] = int(r["fertile"] * rng.uniform(0.6, 0.98))
                r["hatch_to"] = r["spawned_at"] + dt.timedelta(days=rng.randint(*s["hatch"]))
                r["free_swimming"] = int(r["hatched"] * rng.uniform(0.5, 0.98))
                r["swim_to"] = r["hatch_to"] + dt.timedelta(days=rng.randint(*s["swim"]))
            else:
                r["loss"] = rng.choice(["fungus", "eaten by parents", "infertile"])
                r["lost_at"] = r["spawned_at"] + dt.timedelta(days=rng.randint(1, 3))
                r["hatched"] = 0
        r["_write"], r["_doubt"] = {}, {}
        out.append(r)
    return out


# ---------------------------------------------------------------- tables with a row per attempt

class Col:
    """A column: its heading, how a record is written in it, and what it tells.

    means(written, record) returns the values that it tells where they are not the
    record's own: those of a unit that does not convert without rest.
    """

    def __init__(self, head, fields, write=None, means=None, own=None):
        self.head, self.fields, self.own = head, fields.split(), own
        first = self.fields[0] if self.fields else None
        self.write = write or (lambda r: r[first])
        self.means = means


TO_CLUTCH = dict(spawned_at="laid_to")
SHARED = "system species females temperature_c".split()


def where(field):
    """The columns of the tables that a field of a record fills."""
    out = []
    if field in ATTEMPT:
        out.append("attempts." + field)
    c = TO_CLUTCH.get(field, field)
    if c in CLUTCH and (field not in ATTEMPT or field in SHARED or field in TO_CLUTCH):
        out.append("clutches." + c)
    return out


def tells(col):
    out = []
    for f in col.fields:
        out += where(f)
    if "eggs" in col.fields:
        out += ["clutches.eggs_low", "clutches.eggs_high", "clutches.eggs_method"]
    if "spawned_at" in col.fields or "eggs" in col.fields or "hatched" in col.fields:
        out.append("attempts.spawned")
    if "species" in col.fields:
        out.append("attempts.species_as_written")
    if col.own:
        out.append("attempts." + col.own)
    return out


def table(sheet, cols, recs, header=True, fixed=None, clutches=True):
    """Writes a table with a row per attempt and says what it means. fixed are values that no column tells:
    those of the sheet's name, a title or a mapping."""
    fixed = fixed or {}
    head = sheet.put(*[c.head for c in cols]) if header else None
    if head:
        sheet.columns(head, [(c.head, tells(c)) for c in cols])
    for r in recs:
        row_of(sheet, cols, r, fixed, clutches)
    return head


def row_of(sheet, cols, r, fixed=None, clutches=True):
    fixed = fixed or {}
    cells, known, aside, doubts = [], dict(fixed), False, []
    for i, c in enumerate(cols):
        written = r["_write"][c.head] if c.head in r["_write"] else c.write(r)
        lost = False
        if c.head in r["_doubt"]:
            written, codes, absent = r["_doubt"][c.head]
            lost = absent
            if "species" in c.fields and absent:
                aside = True
            doubts.append((i, codes, absent, c))
        cells.append(written)
        for f in c.fields:
            if lost:
                known[f] = None
            else:
                known[f] = r[f]
        if c.own:
            known[c.own] = None if lost else r[c.own]
        if not lost and c.means:
            known.update(c.means(plain(written), r))
        if "species" in c.fields and not lost:
            known["species_as_written"] = known["species"] and (plain(written) if isinstance(plain(written), str) else r["species"])
    number = sheet.put(*cells)
    for i, codes, absent, c in doubts:
        fields = tells(c)
        if aside and "species" not in c.fields:
            continue  # the row is set aside as a whole
        if "species" in c.fields:
            sheet.doubt(number, "", codes, "", absent)  # the row as a whole
        else:
            sheet.doubt(number, i, codes, " ".join(fields), absent)
    if r.get("_row"):  # the row as a whole is doubtful, or says nothing
        codes = r["_row"]
        if codes != "skip":
            sheet.doubt(number, "", codes)
        return number
    if aside:
        return number
    for f in r.get("_null", []):
        known[f] = None
    known.update(r.get("_known", {}))
    # A blemish of one cell takes what is worked out from it along.
    if known.get("refill_delta_c") is not None and any("temperature_c" in c.fields and d for _, _, d, c in doubts):
        if not any("refill_delta_c" in c.fields and c.fields[0] == "refill_delta_c" and not c.means for c in cols):
            known["refill_delta_c"] = None
    for f in list(known):
        if f.startswith("refill_c"):
            del known[f]
    if known.get("spawned") is None and (known.get("spawned_at") or known.get("eggs") or known.get("hatched") or known.get("hatch_to") or known.get("swim_to")):
        known["spawned"] = True
    if known.get("eggs") is not None and known.get("eggs_method") is None:
        known["eggs_method"] = "counted"
    attempt = {f: known.get(f) for f in ATTEMPT + sheet.log.own if f in known}
    sheet.expect("attempts", number, **attempt)
    evidence = any(known.get(f) for f in "eggs eggs_low fertile hatched free_swimming hatch_to swim_to loss".split())
    if clutches and (known.get("spawned") or evidence):
        values = {}
        for f in known:
            to = TO_CLUTCH.get(f, f)
            if to in CLUTCH:
                values[to] = known[f]
        values["attempt"] = "|".join([sheet.file.path, sheet.name, str(number)])
        sheet.expect("clutches", number, **values)
    return number


def sprinkle(recs, cols, seed, share, bank):
    """Makes a share of the cells doubtful. bank: heading -> list of (written, codes) or (written, codes, absent)."""
    rng = random.Random(seed)
    cells = [(r, c) for r in recs for c in cols if c.head in bank and c.head not in r["_write"] and c.head not in r["_doubt"] and c.write(r) is not None]
    rng.shuffle(cells)
    whole = sum(1 for r in recs for c in cols if c.head in r["_write"] or c.write(r) is not None)
    used = {}
    for r, c in cells[: max(1, round(share * whole))]:
        options = bank[c.head]
        k = used.get(c.head, 0)
        used[c.head] = k + 1
        o = options[k % len(options)]
        r["_doubt"][c.head] = (o[0], o[1], o[2] if len(o) > 2 else True)


def dmy(sep=".", year="%Y", pad=True):
    def write(d):
        if d is None:
            return None
        y = d.strftime(year)
        return ("%02d%s%02d%s%s" if pad else "%d%s%d%s%s") % (d.day, sep, d.month, sep, y)
    return write


def mdy(d):
    return None if d is None else "%d/%d/%d" % (d.month, d.day, d.year)


def comma(v):
    return None if v is None else str(v).replace(".", ",")


def yesno(yes, no, blank=None):
    return lambda v: blank if v is None else (yes if v else no)


# What keepers write that nobody can use, by kind of cell.
BAD_TEMPERATURE = [("245", "implausible"), ("warm", "number-unreadable|count-word"), ("25.O", "number-unreadable|unit-unknown"), (">26", "number-bound"), ("2 5.5.1", "number-unreadable"), ("0", "zero-not-possible|implausible")]
BAD_TEMPERATURE_COMMA = [("245", "implausible"), ("warm", "number-unreadable|count-word"), ("2S,5", "number-unreadable|unit-unknown"), (">26", "number-bound"), ("26,5,1", "number-unreadable"), ("0", "zero-not-possible|implausible")]
BAD_PH = [("15.2", "implausible"), ("72", "implausible"), ("6.8.1", "number-unreadable"), ("ok", "number-unreadable|count-word")]
BAD_EGGS = [("lots", "count-word|number-unreadable"), ("12O", "number-unreadable|unit-unknown"), ("none", "count-word|number-unreadable"), ("a few", "count-word|number-unreadable"), ("-40", "number-unreadable|implausible"), ("85 %", "number-unreadable|unit-unknown")]
BAD_COUNT = [("many", "count-word|number-unreadable"), ("6x", "number-unreadable|unit-unknown"), ("most", "count-word|number-unreadable"), ("3.5", "number-unreadable")]
BAD_YESNO = [("maybe", "yes-no-unreadable"), ("sort of", "yes-no-unreadable"), ("2", "yes-no-unreadable")]
BAD_SHARE = [("2 buckets", "number-unreadable|unit-unknown"), ("140", "implausible"), ("much", "number-unreadable|count-word")]
BAD_GROUP = [("6.7.8.9", "sex-ratio"), ("some", "sex-ratio"), ("2-3", "sex-ratio"), ("0.0", "sex-ratio")]
BAD_COND = [("300 ppm", "unit-unknown|unit-missing|number-unreadable"), ("soft", "number-unreadable|count-word"), ("-20", "implausible|number-unreadable")]
BAD_ISO = [("2024-02-30", "date-unreadable"), ("2031-05-04", "date-out-of-range"), ("spring", "date-unreadable"), ("2024-06", "date-partial|date-unreadable")]
BAD_LOSS = [("the weather", "loss-unknown"), ("bad luck", "loss-unknown")]
