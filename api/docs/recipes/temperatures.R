# Reads a logger's file as a spreadsheet saved it and sends its air temperatures.
#
#   Rscript temperatures.R logger.csv "south window" Europe/Lisbon
#
# The arguments are the file, the name of the place and the zone of the logger's clock. read.csv2 is for semicolons and
# decimal commas; read.csv for commas and points. The file looks like this:
#
#   Time;Temperature
#   03.02.2026 08:00;18,5
#
# The file may be sent again when it has grown: a reading that is stored already changes nothing.
library(httr2)
server <- Sys.getenv("VINETALLY", "http://127.0.0.1:8780")
arguments <- commandArgs(trailingOnly = TRUE)

log <- read.csv2(arguments[1], fileEncoding = "UTF-8-BOM")
at <- as.POSIXct(log$Time, format = "%d.%m.%Y %H:%M", tz = arguments[3])
stopifnot(!anyNA(at)) # a time that isn't written like that, or that a change of clocks skipped
readings <- data.frame(place = arguments[2], measured_at = format(at, "%Y-%m-%dT%H:%M:%SZ", tz = "UTC"), air_c = log$Temperature)
readings <- readings[!is.na(readings$air_c), ]

body <- paste(capture.output(write.csv(readings, row.names = FALSE)), collapse = "\n")
why <- function(resp) c(resp_body_json(resp)$detail, unlist(lapply(resp_body_json(resp)$errors, function(e) e$detail)))
stored <- request(server) |>
  req_url_path("/v1/temperatures/bulk") |>
  req_body_raw(body, type = "text/csv") |>
  req_error(body = why) |>
  req_retry(max_tries = 3) |> # waits as long as Retry-After says while the server is busy
  req_perform() |>
  resp_body_json()
cat(stored$readings, "readings:", stored$created, "new,", stored$unchanged, "stored before\n")
