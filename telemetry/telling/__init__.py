"""What people read: plain sentences and the values of tables, made from results; others lay them out."""
