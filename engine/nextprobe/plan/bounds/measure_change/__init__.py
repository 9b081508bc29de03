"""The change-of-measure bound: whoever treats two hypotheses differently has paid for telling them apart.

Proof. Call a repair useful for h if it may cure it. Let x[t,h] be the chance that a policy uses measurement t when h is
true, before it makes a repair useful for h or quotes, y[r,h] the chance that it uses repair r until then and that
included, z[h] that it quotes without any. Its cost is at least linear in them, once the first useful repair is charged
with what follows when it fails (`known.py`). For hypotheses h and k with different useful repairs look at the first
repair useful for h or for k, or the quote: it comes no later than the first useful one of each. Let alpha be the chance
under h that it is a repair useful for k only, 1 - beta the same chance under k. Then

    alpha <= sum over repairs useful for k only of y[r,h],   beta <= sum over repairs useful for h of y[r,k] + z[k],

for every job ends by a quote or by a repair useful for its hypothesis. What was told until then makes the one
chance out of the other, so by the data-processing inequality and the chain rule of relative entropy, which is
linear in x and so covers adaptive policies (Kullback & Leibler 1951; Cover & Thomas, Elements of Information Theory,
2.5-2.8; in sequential tests: Wald 1945; in best-arm identification: Kaufmann, Cappé & Garivier 2016, lemma 1),

    kl(alpha, 1 - beta) <= sum over t of x[t,h] D_t(h, k),       1 - alpha - beta <= sum over t of x[t,h] TV_t(h, k).

Each such pair is priced: l for a nat, a for a wrong repair under h, b for a wrong ending under k, and m for the
second row. By weak duality the cost is at least

    sum over pairs of [ min over alpha, beta of l kl(alpha, 1 - beta) + a alpha + b beta ] + m
    + sum over h of the least cost of ending with h known, each step cheaper by its credits,

for any prices that are not negative, so neither tolerance nor an early stop harms. The problem with h known is in
`known.py`, its ways in `tours.py`, the credits in `evidence.py`, the bracket in `pairs.py`; `ascent.py` looks for good
prices by supergradients (Shor 1985), with the step rule of Kingma & Ba 2015 on their logarithms.

What is left out only lowers the bound: what must be told first, what closes what, readings that end the work
(ending there costs no less than quoting at once).
"""

from nextprobe.plan.bounds.measure_change.bound import PRICED, PRICED_AGAIN, MeasureChange
from nextprobe.plan.bounds.measure_change.prices import PairPrices

__all__ = ["PRICED", "PRICED_AGAIN", "MeasureChange", "PairPrices"]
