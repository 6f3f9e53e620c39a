// Package simulate grows trials whose every fruit is known: a world to judge estimates and forecasts against.
//
// Fruit are followed one by one and hour by hour. The world is made on other assumptions than the models of this product:
// its ripening answers to temperature by a smooth curve with an optimum (not by the published tables), its residence times are
// log-normal or Weibull in some plants and gamma in others, flowers set truss by truss, observers overlook green fruit and
// confuse neighbouring colours, and grown fruit falls unseen. Randomness comes from a seed that is handed in: the same seed
// gives the same trial.
//
// A Trial holds the records as a grower would have kept them, and the truth beside them.
package simulate
