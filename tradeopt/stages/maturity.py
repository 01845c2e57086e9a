"""How far along a part is: the word that its growth allowance follows from."""

from tradeopt.chain.kind import Word
from tradeopt.quantities import MATURITIES

MATURITY = Word(
    "maturity",
    MATURITIES,
    "bought as it is, changed a little, or new; its growth allowance follows from it",
)
"""Asked of every part that weighs something; `stages.mass.growth` says what each word allows."""
