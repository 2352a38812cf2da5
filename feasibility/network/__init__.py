"""Load flow and fault currents of a small radial network given as plain records.

Records in ``records``, results in ``solution``, the solver in ``load_flow``, the second solver and
the export in ``pandapower_model``, IEC 60909 as an independent check in ``fault_check``. Nothing
here knows of surveys, tables or findings.
"""
