# Fetches a season's counts page by page, its ripening curves and its fruit past ripe into data frames, and prints them.
#
#   Rscript ripeness.R "Autumn 2026 (invented)"
library(httr2)
server <- Sys.getenv("VINETALLY", "http://127.0.0.1:8780")

get <- function(path, ...) {
  request(server) |>
    req_url_path(path) |>
    req_url_query(...) |>
    req_error(body = function(resp) resp_body_json(resp)$detail) |>
    req_retry(max_tries = 3) |>
    req_perform() |>
    resp_body_json()
}

# A list comes in pages; next is the cursor of the following one and null on the last.
get_all <- function(path, ...) {
  items <- list()
  cursor <- NULL
  repeat {
    page <- get(path, ..., limit = 200, cursor = cursor)
    items <- c(items, page$items)
    cursor <- page[["next"]]
    if (is.null(cursor)) return(items)
  }
}

field <- function(items, name, missing) sapply(items, function(x) if (is.null(x[[name]])) missing else x[[name]])

name <- commandArgs(trailingOnly = TRUE)[1]
seasons <- get_all("/v1/seasons")
season <- field(seasons, "id", NA)[field(seasons, "name", NA) == name]
if (length(season) != 1) stop("there is no season ", name)

counts <- get_all("/v1/counts", season_id = season)
cat(length(counts), "counts\n")

curves <- get(paste0("/v1/seasons/", season, "/curves"))
pooled <- Filter(function(x) x$scope == "cultivar" && !is.null(x$t50), curves$curves)
half <- lapply(pooled, function(x) x$t50)
print(data.frame(cultivar = field(pooled, "cultivar", NA), stage = field(pooled, "stage", NA),
                 half_by = as.Date(substr(field(half, "at", NA), 1, 10)), days = round(field(half, "days", NA_real_), 1),
                 from = as.Date(substr(field(half, "at_low", NA), 1, 10)), to = as.Date(substr(field(half, "at_high", NA), 1, 10))), row.names = FALSE)
for (x in curves$refused) if (x$scope == "cultivar") cat(x$cultivar, x$stage, "no curve:", x$reason, "\n")

past <- get(paste0("/v1/seasons/", season, "/past-ripe"))
print(data.frame(plant = field(past$plants, "plant", NA), ripe_at_least = field(past$plants, "standing_ripe_at_least", NA),
                 past_ripe_at_least = field(past$plants, "certain", NA), hold_days = field(past$plants, "hold_days", NA)), row.names = FALSE)
for (x in past$warnings) cat("Note:", x, "\n")
