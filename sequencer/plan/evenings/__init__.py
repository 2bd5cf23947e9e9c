"""An order of work that is chosen with its sittings: each ends where the machine may be left, and in time.

What is asked: the least number of sittings, of those the least time, of those the fewest stops at which there
is something to look at first. What is possible next, and where the job may stop, depends on what is done
(``possible``, ``plan.stops.Places``); how long a sitting takes on its steps and the changes between
them (``load``). So a way is a shortest path over sets of steps: found and proven (``exact``) where these are
few; else over the stops of good orders (``cut``), which are made so that little stands open for long
(``short_open``), with a bound on the number (``floor``).
"""
