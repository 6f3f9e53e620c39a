# Writes an invented trial for the comparison of imports: plants.csv and counts.csv as vinetally reads them, and the same
# counts in the columns of the table `visits` (table.csv, with its plants in ids.txt). -v rows=N -v dir=FOLDER; visits to 1,000
# plants (-v plants=N), in the order in which they were made; beyond a million rows several a day. The same numbers make the
# same files: the counts come from the generator below and its seed.

# The minimal standard generator of Park and Miller (Communications of the ACM 31, 1988, p. 1195): 16807, 2^31-1.
function random(n) { seed = (16807 * seed) % 2147483647; return seed % n }

function plant(i) { return sprintf("00000000000070008000%012x", i) }

BEGIN {
    seed = 20261125
    if (!plants) plants = 1000
    rounds = int((rows + plants - 1) / plants)
    daily = int((rounds + 999) / 1000)
    print "season,place,cultivar,plant,sown_on" > (dir "/plants.csv")
    for (i = 0; i < plants; i++) {
        print "Invented,bench,Pebblewick,P" i ",2020-01-01" > (dir "/plants.csv")
        print plant(i) > (dir "/ids.txt")
    }
    print "season,plant,counted_at,green,breaker,turning,red" > (dir "/counts.csv")
    for (r = 0; r < rows; r++) {
        i = r % plants
        if (i == 0) {
            visit = int(r / plants / daily)
            round = int(r / plants) % daily
            # A visit on each of the first 28 days of a month, so that the date needs no calendar. The count of days before
            # it is that of Hatcher (Quarterly Journal of the Royal Astronomical Society 25, 1984, p. 53), with March first.
            day = visit % 28 + 1; month = int(visit / 28) % 12 + 1; year = 2021 + int(visit / 336)
            date = sprintf("%04d-%02d-%02d", year, month, day)
            m = month < 3 ? month + 12 : month; y = month < 3 ? year - 1 : year
            midnight = (365 * y + int(y / 4) - int(y / 100) + int(y / 400) + int((153 * m - 457) / 5) + day - 719469) * 86400
        }
        s = 8 * 3600 + int((round * plants + i) * 36000 / (plants * daily))
        g = random(60); b = random(8); t = random(8); d = random(12)
        clock = sprintf("%02d:%02d:%02d", int(s / 3600), int(s / 60) % 60, s % 60)
        print "Invented,P" i "," date "T" clock "Z," g "," b "," t "," d > (dir "/counts.csv")
        printf "1,%s,1,1764000000000,import,%s,%.0f,,\"{\"\"breaker\"\":%d,\"\"green\"\":%d,\"\"red\"\":%d,\"\"turning\"\":%d}\",,,,,0,0,,\n", \
            sprintf("019aba0000007000%016x", r), plant(i), (midnight + s) * 1000, b, g, d, t > (dir "/table.csv")
    }
}
