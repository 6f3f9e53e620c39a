-- What the query planner should believe about the tables. Without statistics it takes any first column for selective, and
-- since every key starts with the site it would go through all of a site's rows rather than use the index that also has
-- the plant. These numbers are of an imagined large site: what matters is that the site tells nothing and the second
-- column much. See sqlite.org/optoverview.html#manual_control_of_query_plans_using_sqlite_stat_tables.

-- +goose Up
ANALYZE sites;
DELETE FROM sqlite_stat1;
-- For each index: all rows, then how many share the first column, the first two, and so on. The index of a primary key
-- has the name of its table.
INSERT INTO sqlite_stat1 (tbl, idx, stat) VALUES
    ('seasons', 'seasons', '20 20 1'),
    ('seasons', 'sqlite_autoindex_seasons_2', '20 20 1'),
    ('places', 'places', '50 50 1'),
    ('places', 'sqlite_autoindex_places_2', '50 50 1'),
    ('scales', 'scales', '10 10 1'),
    ('scales', 'sqlite_autoindex_scales_2', '10 10 1'),
    ('cultivars', 'cultivars', '100 100 1'),
    ('cultivars', 'sqlite_autoindex_cultivars_2', '100 100 1'),
    ('cultivars', 'cultivars_scale', '100 100 20'),
    ('plants', 'plants', '20000 20000 1'),
    ('plants', 'sqlite_autoindex_plants_2', '20000 20000 1000 1'),
    ('plants', 'plants_place', '20000 20000 1000'),
    ('plants', 'plants_cultivar', '20000 20000 1000'),
    ('plants', 'plants_origin', '1000 1000 2'),
    ('plants', 'plants_label', '20000 20000 20'),
    ('plant_moves', 'plant_moves', '2000 2000 2 1'),
    ('plant_moves', 'plant_moves_place', '2000 2000 200'),
    ('visits', 'visits', '1000000 1000000 1'),
    ('visits', 'visits_plant', '1000000 1000000 50 1'),
    ('visits', 'visits_time', '1000000 1000000 5'),
    ('pickings', 'pickings', '600000 600000 1'),
    ('pickings', 'pickings_plant', '600000 600000 30 1'),
    ('pickings', 'pickings_time', '600000 600000 5'),
    ('pickings', 'pickings_season', '10000 10000 500'),
    ('pickings', 'pickings_place', '10000 10000 200'),
    ('pickings', 'pickings_cultivar', '10000 10000 100'),
    ('losses', 'losses', '300000 300000 1'),
    ('losses', 'losses_plant', '300000 300000 15 1'),
    ('losses', 'losses_time', '300000 300000 5'),
    ('losses', 'losses_season', '10000 10000 500'),
    ('losses', 'losses_place', '10000 10000 200'),
    ('losses', 'losses_cultivar', '10000 10000 100'),
    ('diary', 'diary', '100000 100000 1'),
    ('diary', 'diary_season', '100000 100000 5000 2'),
    ('diary', 'diary_plant', '80000 80000 4 1'),
    ('diary', 'diary_time', '100000 100000 2'),
    ('temperatures', 'temperatures', '1000000 1000000 20000 1'),
    ('temperatures', 'sqlite_autoindex_temperatures_2', '1000000 1000000 1'),
    ('temperatures', 'temperatures_time', '1000000 1000000 50 1'),
    ('germination', 'germination', '2000 2000 1'),
    ('germination', 'germination_season', '2000 2000 100 10'),
    ('germination', 'germination_cultivar', '2000 2000 20'),
    ('germination', 'germination_time', '2000 2000 10'),
    ('history', 'history', '200000 200000 20000 2 1');
ANALYZE sqlite_schema;
