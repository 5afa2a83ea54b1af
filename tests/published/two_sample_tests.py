"""Published two-sample results, from summary statistics.

AUTO83B: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.3, two-sample t-test for equal means (miles per
gallon of American and Japanese cars). Figures as printed there.

MOERY: S. Moery, R. Calin-Jageman (2016), as analysed for equivalence in D. Lakens, Social Psychological and Personality
Science 8 (2017) 355. Groups, bound and ``t(182) = -2.69, p = 0.004`` as printed; the printed t is that of unequal
variances, so the pooled values stand beside it, computed with statsmodels' ``ttost_ind`` on samples of these moments.
"""

AUTO83B = {
    "american": {"n": 249, "mean": 20.14458, "sd": 6.41470},
    "japanese": {"n": 79, "mean": 30.48101, "sd": 6.10771},
    "t": -12.62059,
    "nu": 326,
    "pooled_sd": 6.34260,
    "critical_975": 1.9673,
    "low": -11.947653,
    "high": -8.725216,
}

MOERY = {
    "first": {"n": 95, "mean": 5.25, "sd": 0.95},
    "second": {"n": 89, "mean": 5.22, "sd": 0.83},
    "bound": 0.384,
    "nu": 182,
    "t_nearer_bound": -2.684218,
    "t_farther_bound": 3.139170,
    "p": 0.0039705,
    "inner_low": -0.188036,
    "inner_high": 0.248036,
    "t_no_difference": 0.227476,
    "p_no_difference": 0.820309,
}
