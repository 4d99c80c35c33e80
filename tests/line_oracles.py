"""Second opinions on a tandem line: an exact Markov chain, and a discrete-event simulation by a general library."""

import numpy as np
import simpy
from scipy import sparse
from scipy.sparse.linalg import spsolve

from coreset.line.departures import StationRow, passage


def ready(state):
    """Stations that are working: they have a mold and are not blocked; the first always has one."""
    waiting, blocked = state
    return [j for j in range(len(blocked)) if not blocked[j] and (j == 0 or waiting[j - 1] > 0)]


def finish(state, j, places):
    """State after station j ends a service; a place that falls free is taken at once, last station first."""
    waiting, blocked = list(state[0]), list(state[1])
    blocked[j] = True
    for k in range(len(places), -1, -1):
        goes = blocked[k] and (k == len(places) or waiting[k] < places[k] + 1)
        if not goes:
            continue
        blocked[k] = False
        if k < len(places):
            waiting[k] += 1
        if k:
            waiting[k - 1] -= 1
    return tuple(waiting), tuple(blocked)


def exact_throughput(rates, places):
    """Molds per unit time of exponential stations, blocking after service, from the balance equations.

    A state gives, for every station but the first, molds present (queued, in service, or finished and held there), and
    which stations are blocked.
    """
    first = ((0,) * len(places), (False,) * len(rates))
    states, todo, moves = {first: 0}, [first], []
    while todo:
        state = todo.pop()
        for j in ready(state):
            after = finish(state, j, places)
            if after not in states:
                states[after] = len(states)
                todo.append(after)
            moves.append((states[state], states[after], rates[j], j))
    size = len(states)
    balance = sparse.lil_matrix((size, size))
    for a, b, rate, _ in moves:
        balance[b, a] += rate
        balance[a, a] -= rate
    balance[0, :] = 1.0
    chance = spsolve(balance.tocsc(), np.eye(1, size)[0])
    return sum(chance[a] * rate for a, _, rate, j in moves if j == 0)


def simulated_departures(service, places):
    """Departure of each mold from each station, (stations, molds), by simpy: one process a station.

    A station holds a finished mold until a place beyond it, the next station counted as one, is free.
    """
    stations, molds = service.shape
    env = simpy.Environment()
    leave = np.zeros((stations, molds))
    room = [simpy.Resource(env, capacity=b + 1) for b in places]
    stores = [simpy.Store(env) for _ in places]

    def station(j):
        held = None
        for n in range(molds):
            if j:
                held = yield stores[j - 1].get()
            yield env.timeout(service[j, n])
            if j < stations - 1:
                request = room[j].request()
                yield request
                stores[j].put(request)
            leave[j, n] = env.now
            if held is not None:
                room[j - 1].release(held)

    for j in range(stations):
        env.process(station(j))
    env.run()
    return leave


def simulated_rows(service, places, dwell, hold):
    """Start and departure of each mold at each station, (stations, molds), by simpy: one process a mold.

    A mold holds its station until it has a place in the row beyond, stays there at least `dwell`, and keeps its place
    until the next station takes it. The last station takes it no sooner than `hold[1]` after it left station `hold[0]`;
    a row without places is passed from station to station.
    """
    stations, molds = service.shape
    env = simpy.Environment()
    start, leave = np.zeros((2, stations, molds))
    posts = [simpy.Resource(env, capacity=1) for _ in range(stations)]
    rows = [simpy.Resource(env, capacity=b) if b else None for b in places]

    def mold(n, came):
        post, place = posts[0].request(), None
        yield post
        came.succeed()
        for j in range(stations):
            start[j, n] = env.now
            if place is not None:
                rows[j - 1].release(place)
            yield env.timeout(service[j, n])
            if j == stations - 1:
                leave[j, n] = env.now
                posts[j].release(post)
                return
            ready = leave[hold[0], n] + hold[1] if j > hold[0] else env.now + hold[1]
            if rows[j] is None:
                if j + 1 == stations - 1 and hold[1] > 0 and ready > env.now:
                    yield env.timeout(ready - env.now)
                place, after = None, posts[j + 1].request()
                yield after
                leave[j, n] = env.now
                posts[j].release(post)
            else:
                place = rows[j].request()
                yield place
                leave[j, n] = env.now
                posts[j].release(post)
                until = env.now + dwell[j]
                if j + 1 == stations - 1 and hold[1] > 0:
                    until = max(until, leave[hold[0], n] + hold[1])
                yield env.timeout(until - env.now)
                after = posts[j + 1].request()
                yield after
            post = after

    def source():
        for n in range(molds):
            came = env.event()
            env.process(mold(n, came))
            yield came

    env.process(source())
    env.run()
    return start, leave


def throughput(service, places, warm=500):
    """Molds per unit time after the warm-up: mean and standard error over replications."""
    out = passage(service, StationRow(places=places)).leave[-1]
    each = (out.shape[0] - warm) / (out[-1] - out[warm - 1])
    return each.mean(), each.std(ddof=1) / np.sqrt(each.size)
