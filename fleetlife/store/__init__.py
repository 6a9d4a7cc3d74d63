"""Engine, the differences between databases by name, unit of work, append, writes, reads, migrations.

The only room that speaks SQL. It holds no judgement.
"""
