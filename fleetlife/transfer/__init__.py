"""Files in and out: csv and workbooks, the one list of columns, problems by line and column.

No database and no judgement beyond the row itself.
"""
