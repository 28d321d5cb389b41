from reviewer.analysis.solver.numpy_threads import load_numpy

load_numpy()
