// Reads tables with programs that know nothing of gravid: Arrow files with Apache Arrow
// for JavaScript, Parquet files with DuckDB. Writes the columns' types and all rows as
// JSON. Cells are texts in the form of gravid's CSV files, null where nothing is recorded;
// a number is the shortest text that gives the same number again.
//
//   node read.js FILE...
"use strict";
const fs = require("fs");
const path = require("path");
const arrow = require("apache-arrow");
const duckdb = require("@duckdb/node-api");

// An instant of the given count of units a second since 1970, as in the CSV file.
function instant(count, perSecond) {
  const units = BigInt(count);
  if (units % BigInt(perSecond) !== 0n) throw new Error(`a time of ${units} has parts of a second`);
  return new Date(Number(units / BigInt(perSecond)) * 1000).toISOString().replace(".000Z", "Z");
}

function cell(value) {
  if (value === null || value === undefined) return null;
  if (typeof value === "boolean") return value ? "TRUE" : "FALSE";
  return String(value);
}

function readArrow(file) {
  const table = arrow.tableFromIPC(fs.readFileSync(file));
  const columns = table.schema.fields.map((f) => ({
    name: f.name,
    type: String(f.type),
    nullable: f.nullable,
    unit: f.metadata.get("unit") ?? "",
  }));
  const perSecond = [1, 1000, 1000000, 1000000000];
  const cells = table.schema.fields.map((f, j) => {
    const column = table.getChildAt(j);
    if (!arrow.DataType.isTimestamp(f.type)) return Array.from(column, cell);
    // The stored integers, as the library itself would round them to milliseconds.
    return column.data.flatMap((part) =>
      Array.from({ length: part.length }, (_, i) =>
        part.getValid(i) ? instant(part.values[i], perSecond[f.type.unit]) : null));
  });
  return { columns, rows: Array.from({ length: table.numRows }, (_, i) => cells.map((c) => c[i])) };
}

async function readParquet(connection, file) {
  const result = await connection.runAndReadAll(`select * from read_parquet('${file.replaceAll("'", "''")}')`);
  const types = result.columnTypes();
  const columns = result.columnNames().map((name, j) => ({ name, type: types[j].toString() }));
  const rows = result.getRows().map((row) =>
    row.map((v) => (v !== null && typeof v === "object" && "micros" in v ? instant(v.micros, 1000000) : cell(v))));
  return { columns, rows };
}

async function main() {
  const instance = await duckdb.DuckDBInstance.create(":memory:");
  const connection = await instance.connect();
  const tables = {};
  for (const file of process.argv.slice(2)) {
    tables[path.basename(file)] = file.endsWith(".parquet") ? await readParquet(connection, file) : readArrow(file);
  }
  process.stdout.write(JSON.stringify(tables) + "\n");
  connection.closeSync();
}

main().catch((fault) => {
  console.error(fault);
  process.exitCode = 1;
});
