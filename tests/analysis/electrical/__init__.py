from reviewer.analysis.electrical.arithmetic import load_numpy

load_numpy()
