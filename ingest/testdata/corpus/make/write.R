# Writes tables with R's own writers. Arguments: how, target, names of sheets as
# JSON, and one CSV file of cells for each sheet.
args <- commandArgs(trailingOnly = TRUE)
how <- args[1]; target <- args[2]
sheets <- gsub('^\\["|"\\]$', "", args[3]); sheets <- strsplit(sheets, '", "', fixed = TRUE)[[1]]
read <- function(path, typed) {
  d <- read.csv(path, colClasses = "character", check.names = FALSE, na.strings = "", encoding = "UTF-8", fileEncoding = "UTF-8")
  if (typed) {
    for (n in names(d)) {
      v <- d[[n]]
      if (all(is.na(v) | grepl("^[0-9]{4}-[0-9]{2}-[0-9]{2}$", v)) && !all(is.na(v))) d[[n]] <- as.Date(v)
      else d[[n]] <- type.convert(v, as.is = TRUE, na.strings = "")
    }
  }
  d
}
Sys.setlocale("LC_CTYPE", "C.UTF-8")
paths <- args[-(1:3)]
if (how == "csv") {
  write.csv(read(paths[1], TRUE), target, row.names = FALSE)
} else if (how == "csv-blank") {
  write.csv(read(paths[1], FALSE), target, row.names = FALSE, na = "")
} else if (how == "csv2-latin") {
  write.csv2(read(paths[1], FALSE), target, row.names = FALSE, na = "", fileEncoding = "windows-1252")
} else if (how == "tab") {
  write.table(read(paths[1], FALSE), target, sep = "\t", row.names = FALSE, quote = FALSE, na = "NA")
} else if (how == "xlsx") {
  d <- lapply(paths, read, typed = TRUE); names(d) <- sheets
  openxlsx::write.xlsx(d, target)
} else stop("unknown way of writing: ", how)
