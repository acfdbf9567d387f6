"""The cash flows of drawcompare, vectorised. Reads drawn inputs on standard
input and prints P10, P50 and P90 of each option's net present value, and the
time taken, without start-up and reading."""

import json
import sys
import time

import numpy

draws, options, years = (int(text) for text in sys.argv[1:4])
rate = float(sys.argv[4])
drawn = numpy.frombuffer(sys.stdin.buffer.read(), dtype="<f8").reshape(draws, options, 3)


def values():
    capital, income, upkeep = drawn[:, :, 0], drawn[:, :, 1], drawn[:, :, 2]
    net = numpy.empty((draws, options, years + 1))
    net[:, :, 0] = -capital
    net[:, :, 1:] = (income - upkeep)[:, :, None]
    value = net @ (1 + rate) ** -numpy.arange(years + 1.0)
    best = numpy.bincount(value.argmax(axis=1), minlength=options) / draws
    return numpy.quantile(value, [0.1, 0.5, 0.9], axis=0), best


values()  # once to warm up
start = time.perf_counter()
quantiles, _ = values()
took = time.perf_counter() - start
print(json.dumps({"milliseconds": 1000 * took, "quantiles": quantiles.T.tolist()}))
