"""Lines of each kind as event simulations by a general library: a process for each worker, places as resources.

Each takes seconds by name of the step, (molds,), and the line's facts, and gives the time at which each mold has been
shaken out, (molds,). They share no code with the product and know nothing of its nets.
"""

import numpy as np
import simpy


class _Line:
    """An environment, and an event for each moment of each mold."""

    def __init__(self, seconds):
        self.env, self.seconds = simpy.Environment(), seconds
        self.molds, self.events = len(next(iter(seconds.values()))), {}
        self.out = np.zeros(self.molds)

    def at(self, name, mold):
        """The moment of a mold; before the first mold everything has happened."""
        if (name, mold) not in self.events:
            self.events[name, mold] = event = self.env.event()
            if mold < 0:
                event.succeed()
        return self.events[name, mold]

    def tell(self, name, mold):
        self.at(name, mold).succeed(self.env.now)

    def work(self, name, mold):
        return self.env.timeout(self.seconds[name][mold])

    def process(self, worker):
        self.env.process(worker)

    def run(self):
        self.env.run()
        return self.out


def _tail(line, arrived, places, cooling_places, cool_s):
    """Pourer and shake-out behind a row of places; `arrived` yields each mold's place. Cooling counts from pouring."""
    env, row = line.env, simpy.Resource(line.env, capacity=cooling_places)
    cooling = simpy.Store(env)

    def pourer():
        for k in range(line.molds):
            place = yield arrived.get()
            places.release(place)
            yield line.work("pouring", k)
            cool_at = env.now + cool_s
            room = row.request()
            yield room
            cooling.put((room, cool_at))

    def shake_out():
        for k in range(line.molds):
            room, cool_at = yield cooling.get()
            if cool_at > env.now:
                yield env.timeout(cool_at - env.now)
            row.release(room)
            yield line.work("shake-out", k)
            line.out[k] = env.now
            line.tell("out", k)

    line.process(pourer())
    line.process(shake_out())


def _post(line, name):
    """A station of an index: it works on each mold after the index."""
    for k in range(line.molds):
        yield line.at("index", k)
        yield line.work(name, k)
        line.tell(name, k)
        if name == "shake-out":
            line.out[k] = line.env.now


def _sets(line, awaited):
    """An operator who loads aside, then sets the cores of the mold once it has come."""
    for k in range(line.molds):
        yield line.work("load", k)
        yield line.at(awaited, k)
        yield line.work("set", k)
        line.tell("set", k)


def indexing(seconds, *, index_s, cooling_places, pouring_places, cool_s):
    """All molds move at once: the index waits for all who work between two of them."""
    line = _Line(seconds)
    env = line.env

    def index():
        for k in range(line.molds):
            for name in ("make", "set", "weights", "shake-out"):
                yield line.at(name, k - 1)
            yield line.at("pouring", k - pouring_places)
            if k >= cooling_places:
                poured = yield line.at("pouring", k - cooling_places)
                yield env.timeout(max(poured + cool_s - env.now, 0.0))
            yield env.timeout(index_s)
            line.tell("index", k)

    line.process(index())
    line.process(_sets(line, "index"))
    for name in ("make", "weights", "pouring", "shake-out"):
        line.process(_post(line, name))
    return line.run()


def turntable(seconds, *, index_s, mold_positions, cooling_places, cool_s):
    """Molding and core setting share a table; the mold that was set leaves it when there is a place beyond."""
    line = _Line(seconds)
    env, beyond, arrived = line.env, simpy.Resource(line.env, capacity=mold_positions), simpy.Store(line.env)

    def table():
        for k in range(line.molds):
            yield line.at("make", k - 1)
            yield line.at("gone", k - 1)
            yield env.timeout(index_s)
            line.tell("index", k)

    def machine():
        for k in range(line.molds):
            yield line.at("index", k)
            yield line.work("make", k)
            line.tell("make", k)

    def leaving():
        for k in range(line.molds):
            yield line.at("set", k)
            place = beyond.request()
            yield place
            line.tell("gone", k)
            arrived.put(place)

    for worker in (table(), machine(), _sets(line, "index"), leaving()):
        line.process(worker)
    _tail(line, arrived, beyond, cooling_places, cool_s)
    return line.run()


def station(seconds, *, setting_places, move_s, mold_positions, cooling_places, cool_s):
    """Cores are set at a station apart; molds wait for it in places between, or at the machine where there are none."""
    line = _Line(seconds)
    env, beyond, arrived = line.env, simpy.Resource(line.env, capacity=mold_positions), simpy.Store(line.env)
    between = simpy.Resource(env, capacity=setting_places) if setting_places else None
    post = simpy.Resource(env, capacity=1)

    def machine():
        for k in range(line.molds):
            yield line.work("make", k)
            room = (between or post).request()
            yield room
            env.process(mold(k, room))

    def mold(k, room):
        yield env.timeout(move_s)
        held = room
        if between is not None:
            held = post.request()
            yield held
            between.release(room)
        line.tell("come", k)
        yield line.at("set", k)
        place = beyond.request()
        yield place
        post.release(held)
        arrived.put(place)

    line.process(machine())
    line.process(_sets(line, "come"))
    _tail(line, arrived, beyond, cooling_places, cool_s)
    return line.run()


def _later(env, seconds, stock):
    """A flask that is back after some seconds."""
    yield env.timeout(seconds)
    yield stock.put(1)


def flask_loop(seconds, *, open_drags, people, flasks, flask_return_s, mold_positions, cooling_places, cool_s):
    """Drags stand open in a row while people take them in turn; a closer follows; flasks come back from shake-out."""
    line = _Line(seconds)
    env, beyond, arrived = line.env, simpy.Resource(line.env, capacity=mold_positions), simpy.Store(line.env)
    row, stock = simpy.Resource(env, capacity=open_drags), simpy.Container(env, init=flasks or 10**6)

    def machine():
        for k in range(line.molds):
            yield stock.get(1)
            yield line.work("make", k)
            room = row.request()
            yield room
            line.at("open", k).succeed(room)

    def person(first):
        for k in range(first, line.molds, people):
            yield line.work("walk", k)
            yield line.at("open", k)
            yield line.work("set", k)
            line.tell("set", k)

    def closer():
        for k in range(line.molds):
            room = yield line.at("open", k)
            yield line.at("set", k)
            row.release(room)
            yield line.work("closing", k)
            place = beyond.request()
            yield place
            arrived.put(place)

    def back():
        for k in range(line.molds):
            yield line.at("out", k)
            env.process(_later(env, flask_return_s, stock))

    line.process(machine())
    line.process(closer())
    for first in range(people):
        line.process(person(first))
    _tail(line, arrived, beyond, cooling_places, cool_s)
    line.process(back())
    return line.run()


def accumulating(seconds, *, people, mold_positions, cooling_places, cool_s):
    """A machine that makes, waits for the cores to be set and cleared, and closes; its mold then moves up the row.

    Each person loads aside for a mold of their own, in turn.
    """
    line = _Line(seconds)
    beyond, arrived = simpy.Resource(line.env, capacity=mold_positions), simpy.Store(line.env)

    def machine():
        for k in range(line.molds):
            yield line.work("make", k)
            line.tell("make", k)
            yield line.at("clear", k)
            yield line.work("close", k)
            place = beyond.request()
            yield place
            arrived.put(place)

    def person(first):
        for k in range(first, line.molds, people):
            yield line.work("load", k)
            yield line.at("make", k)
            yield line.work("set", k)
            yield line.work("clear", k)
            line.tell("clear", k)

    line.process(machine())
    for first in range(people):
        line.process(person(first))
    _tail(line, arrived, beyond, cooling_places, cool_s)
    return line.run()
