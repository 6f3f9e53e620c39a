# Adds up the pickings of an exported season, by cultivar.
#
#   vinetally export my-season
#   Rscript picked.R my-season
#
# Empty cells are NA: what was not counted or weighed is not 0.
folder <- commandArgs(trailingOnly = TRUE)[1]
read_file <- function(name) {
  read.csv(file.path(folder, name), na.strings = "", check.names = FALSE, encoding = "UTF-8",
           colClasses = c(plant = "character", season = "character")) # a plant may be called 007
}

pickings <- read_file("pickings.csv")
plants <- read_file("plants.csv")[, c("season", "plant", "cultivar")]

# A time is RFC 3339, and a day alone where the time wasn't noted; the day is the first ten characters of either.
pickings$day <- as.Date(substr(pickings$picked_at, 1, 10))

# Fruit of no plant in particular has its cultivar beside it, in a column of its own name.
pickings$cultivar <- NULL
picked <- merge(pickings[!is.na(pickings$plant), ], plants, by = c("season", "plant"))
add <- function(x) sum(x, na.rm = TRUE)
by_cultivar <- aggregate(cbind(fruits, mass_g) ~ season + cultivar, picked, add, na.action = na.pass)
first <- aggregate(day ~ season + cultivar, picked, min)
names(first)[3] <- "first_picking"
print(merge(by_cultivar, first), row.names = FALSE)
