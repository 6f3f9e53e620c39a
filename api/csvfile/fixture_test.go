package csvfile

import (
	"context"
	"os"
	"path/filepath"
	"testing"
)

// full has every kind of record and every column; the growers, names and numbers are invented.
var full = files{
	"seasons.csv": "season,first_day,last_day\n2025,2025-01-10,2025-11-30\nspring 2026,,\n",
	"places.csv": "place,time_zone\nnorth bench,Europe/Berlin\nbalcony,Europe/Lisbon\n" +
		"\"shelf \"\"B\"\", lower\",\nŻółty kąt,America/St_Johns\n",
	"scales.csv": "scale,position,stage,ripe,description\nyellow fruit,1,green,,\nyellow fruit,2,pale,,\"first yellow,\nat the tip\"\n" +
		"yellow fruit,3,yellow,yes,\nyellow fruit,4,=soft,,\"over\"\"ripe\"\n",
	"cultivars.csv": "cultivar,scale,hold_days,note\nAmberlin,,,\nPalla d'Oro finta,yellow fruit,4.5,\"höher, später\"\n" +
		"Six classes,colour classes 7 CFR 51.1860,10,\nFour,four stages,,\n",
	"plants.csv": "season,place,cultivar,plant,sown_on,transplanted_on,removed_on,origin,lot,note\n" +
		"2025,north bench,Amberlin,A1,2025-02-01,2025-03-10,2025-10-01,,L-7,\n" +
		"2025,north bench,Amberlin,A1b,2025-02-01,,,A1,,\"two of one pod\nparted\"\n" +
		"2025,balcony,Palla d'Oro finta,A2,,2025-03-15,,,,=1+1\n" +
		"2025,north bench,Six classes,A10,2025-02-01,,,A2x,,\n" +
		"2025,north bench,Six classes,A2x,2025-02-01,,,,,'tis late\n" +
		"spring 2026,north bench,Amberlin,A1,2026-01-15,,,,,\n" +
		"spring 2026,Żółty kąt,Four,@home,2026-01-15,,,,,''=x\n",
	"moves.csv": "season,plant,place,moved_on\n2025,A1,balcony,2025-06-01\n2025,A1,north bench,2025-07-01\nspring 2026,@home,balcony,2026-03-01\n",
	"counts.csv": "season,plant,counted_at,green,breaker,turning,red,pale,yellow,'=soft,breakers,pink,light red,total,truss,trusses_counted,trusses_total,at_least,about,observer,note\n" +
		"2025,A1,2025-05-04T08:15,12,3,1,2,,,,,,,,,,,,,Inés,\n" +
		"2025,A1,2025-05-11T08:15:30.25,10,,,,,,,,,,15,,,,,yes,,\n" +
		"2025,A1,2025-06-04,9,0,0,0,,,,,,,,,,,yes,,,gave up\n" +
		"2025,A1b,2025-06-04T08:20,4,,,,,,,,,,,1,,,,,,\n" +
		"2025,A1b,2025-06-04T08:20,5,,,,,,,,,,,2,,,,,,\n" +
		"2025,A2,2025-06-05 18:00,6,,,,1,2,0,,,,,,2,5,,,,\n" +
		"2025,A10,2025-06-05T18:00+02:00,6,,1,2,,,,1,0,3,,,,,,,,\"+two, \"\"quoted\"\"\nlines\"\n" +
		"spring 2026,@home,2026-02-05,,,,,,,,,,,4,,,,,,-me,\n",
	"pickings.csv": "season,plant,place,cultivar,picked_at,stage,fruits,mass_g,weighing,grade,before_count,brix,taste,note\n" +
		"2025,A1,,,2025-06-05,,3,20.5,w1,,,6.2,7,\n" +
		"2025,A1,,,2025-06-05,,1,,w1,cull,yes,,,split\n" +
		"2025,A2,,,2025-06-05T18:00,yellow,,12.25,,marketable,,,,\n" +
		"2025,,balcony,Palla d'Oro finta,2025-06-09T07:00,yellow,5,40,,,,,,\n",
	"losses.csv": "season,plant,place,cultivar,lost_at,stage,fruits,cause,before_count,note\n" +
		"2025,A1,,,2025-06-05,red,1,dropped,,\n2025,A1,,,2025-06-05T09:00,green,2,thinned,yes,\n" +
		"2025,,balcony,Palla d'Oro finta,2025-06-10,=soft,2,rotted,,\"under the bench\"\n",
	"temperatures.csv": "place,measured_at,air_c\nnorth bench,2025-05-04T08:00,19.5\nnorth bench,2025-05-04T09:00,-0.25\n" +
		"north bench,2025-10-26T02:00+02:00,11\nnorth bench,2025-10-26T02:00+01:00,10.5\nŻółty kąt,2026-02-01T00:00,1e-7\n",
	"diary.csv": "season,plant,noted_at,kind,ec_ds_m,ph,solution_c,pick_not_before,note\n" +
		"2025,,2025-05-01,solution measured,1.8,6.1,18.5,,\n2025,A1,2025-05-02T10:00,treated,,,,2025-05-09,soap\n" +
		"2025,,2025-05-02T10:00Z,note,,,,,\"@ all\n\tindented\"\nspring 2026,,2026-05-02T10:00+05:30,cleaned,,,,,\n",
	"germination.csv": "season,cultivar,lot,sown_on,seeds,counted_on,emerged\n2025,Amberlin,L-7,2025-02-01,20,2025-02-08,11\n" +
		"2025,Amberlin,L-7,2025-02-01,20,2025-02-12,18\n2025,Amberlin,,2025-02-01,4,2025-02-12,0\n",
}

func exportDir(t testing.TB, store Reader) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "out")
	if _, err := Export(context.Background(), store, dir); err != nil {
		t.Fatalf("export: %v", err)
	}
	return dir
}

func readFiles(t testing.TB, dir string) files {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	f := files{}
	for _, e := range entries {
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		f[e.Name()] = string(data)
	}
	return f
}
