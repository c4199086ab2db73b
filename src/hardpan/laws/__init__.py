"""Physics of soil and work: one law, one function, SI in and out, numpy and scipy only, no clock, no files, no state.

========================  ===================================================================
phases                    masses and volumes of soil, water and air
compaction                moisture-density curve, zero air voids, oversize, relative compaction
classification            AASHTO and USCS groups
penetrometer              dynamic cone to bearing ratio
rise, depth               change of level by treatment; depth of original, loose and rolled ground
spread, water             rates, coverage and the walk along strips; water to a target, flow, trucks
strips, work              cuts and overlaps; run times of machines
profile, section          levels along the line and across it
earthwork, cost, carbon   volumes, prices, carbon
evaporation, acceptance   drying of a surface; percent within limits
layered, layered_table    exact elasticity of bonded layers under wheels, and a fast table of it
rutting, bearing          rut of a wheel on clay both ways; a layer of clay over a weaker one
stiffness, strength       moduli from bearing ratio and plates; strength by cement, water, density, age and delay
mixture, maturity         water, pores and cement of a treated soil; maturity and equivalent age of a history
lognormal                 means, spreads and percentiles of lognormal quantities
ranges                    where a relation holds, and checks of impossible input
========================  ===================================================================
"""
