"""Tables of parts that ship with the package; the header of each says where its rows come from."""
