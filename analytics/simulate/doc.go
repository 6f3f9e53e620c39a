// Package simulate grows trials whose every fruit is known: a world to judge estimates and forecasts against.
//
// Fruit are followed one by one and hour by hour. The world is made on other assumptions than the models of this product:
// its ripening answers to temperature by a smooth curve with an optimum (not by the published tables), its residence times are
// drawn by cultivar and stage to be log-normal, Weibull or gamma, flowers set truss by truss, observers overlook green fruit and
// confuse neighbouring colours, and grown fruit falls unseen. Randomness comes from a seed that is handed in: the same seed
// gives the same trial.
//
// How a fruit ripens is a [Cultivar], from which come the residence times and clocks of a plant in its air ([Biology]), which lets
// a fruit live from its moment of setting. [New] grows whole trials by it, kept in one of the ways of [Conducts]: a Trial holds the
// records as a grower would have kept them, and the truth beside them. Who has a story of their own to tell, as the demo trial has,
// brings the air, the flowers and the grower, and lets the fruit ripen here.
package simulate
