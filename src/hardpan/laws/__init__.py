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
ranges                    where a relation holds, and checks of impossible input
========================  ===================================================================
"""
