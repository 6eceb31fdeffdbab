"""What laboratories write over and beside their tables: English, German, French and Spanish.

Small letters without accents and punctuation, as `words.plain` makes them.
"""

from __future__ import annotations

__all__ = ["EMULSION_WORDS", "ROLE_WORDS", "TITLE_KEYS"]

ROLE_WORDS: dict[str, tuple[str, ...]] = {
    "ignore": (
        "% in phase", "% of phase", "phase %", "% phase", "% der phase", "% de la phase",
        "% de la fase", "use level", "recommended use", "dose max", "max %", "min %", "% max",
        "% min", "maximum", "minimum", "limit", "grenzwert", "limite", "range", "bereich",
        "active %",
        "% active", "% active matter", "active matter", "aktivgehalt", "matiere active",
        "materia activa", "% actives", "solids", "purity", "reinheit", "purete", "pureza", "cas",
        "cas no", "cas nr", "cas number", "einecs", "ec no", "no", "nr", "n", "#", "pos",
        "position",
        "lfd nr", "row", "line", "zeile", "step", "schritt", "etape", "paso", "actual", "weighed",
        "gewogen", "eingewogen", "initials", "signature", "checked", "cumulative", "kumuliert",
        "cumul", "acumulado", "deviation", "abweichung", "% composition", "% in raw material",
        "% im rohstoff", "water %", "water content", "natural %", "% natural",
    ),
    "phase": ("phase", "phases", "ph", "teil", "partie", "fase", "part", "phase name"),
    "inci": (
        "inci", "inci name", "inci bezeichnung", "inci names", "nom inci", "nombre inci",
        "denominacion inci", "denomination inci", "inci ctfa", "inci eu", "inci designation",
    ),
    "name": (
        "ingredient", "ingredients", "raw material", "raw materials", "raw material name",
        "trade name", "tradename", "commercial name", "material", "material name", "substance",
        "product name", "product", "component", "name", "description", "chemical", "item name",
        "handelsname", "rohstoff", "rohstoffe", "rohstoffname", "rohstoffbezeichnung",
        "bezeichnung", "inhaltsstoff", "inhaltsstoffe", "komponente", "stoff", "produkt", "zutat",
        "matiere premiere", "matieres premieres", "nom commercial", "nom", "designation",
        "produit", "composant", "ingrediente", "ingredientes", "materia prima", "materias primas",
        "nombre comercial", "nombre", "producto", "componente", "descripcion", "sustancia",
    ),
    "code": (
        "code", "raw material code", "rm code", "material code", "item code", "material no",
        "material id", "id", "item no", "article no", "art no", "art nr", "artikelnummer",
        "artikel nr", "rohstoff nr", "rohstoffnummer", "materialnummer", "material nr",
        "code mp", "code article", "reference", "codigo", "referencia", "codigo mp", "card",
    ),
    "percent": (
        "%", "% w w", "w w", "% m m", "m m", "% p p", "p p", "wt %", "weight %", "% by weight",
        "percent",
        "per cent", "percentage", "mass %", "prozent", "gew %", "massen %", "masse %", "anteil",
        "anteil %", "pourcentage", "pour cent", "% massique", "porcentaje", "por ciento",
        "% en peso", "concentration", "konzentration", "concentracion", "conc", "g 100 g",
        "g 100g", "g per 100 g", "g pro 100 g", "g pour 100 g", "quantity %", "amount %", "menge %",
        "quantite %", "cantidad %", "dosage %", "% w w theoretical", "% ww", "share",
    ),
    "fraction": (
        "fraction", "mass fraction", "weight fraction", "massenanteil", "fraction massique",
        "fraccion masica", "fraccion",
    ),
    "per_mille": ("g kg", "g per kg", "g pro kg", "g par kg", "g por kg"),
    "grams": (
        "g", "gram", "grams", "gramm", "grammes", "gramos", "gr", "weight g", "mass g", "menge g",
        "gewicht g", "einwaage g", "einwaage", "masse g", "quantity g", "amount g", "batch g",
        "quantite g", "poids g", "cantidad g", "peso g", "ansatz g", "charge g", "lot g",
    ),
    "kilograms": (
        "kg", "kilogram", "kilograms", "kilogramm", "kilogrammes", "kilogramos", "weight kg",
        "menge kg", "batch kg", "quantity kg", "quantite kg", "cantidad kg", "ansatz kg",
        "charge kg", "lot kg",
    ),
    "amount": (
        "amount", "quantity", "qty", "weight", "mass", "menge", "gewicht", "dosierung", "dosage",
        "quantite", "poids", "masse", "cantidad", "peso", "dosis", "dose", "value", "wert",
    ),
    "function": (
        "function", "functions", "funktion", "fonction", "funcion", "role", "purpose", "zweck",
        "use", "class", "category", "kategorie", "categorie", "categoria",
    ),
    "supplier": (
        "supplier", "manufacturer", "vendor", "source", "supplier name", "lieferant",
        "hersteller", "anbieter", "fournisseur", "fabricant", "proveedor", "fabricante",
    ),
    "price": (
        "price", "cost", "unit price", "preis", "kosten", "prix", "cout", "precio", "coste",
        "eur kg", "€ kg", "usd kg", "$ kg", "price eur kg", "price € kg", "preis € kg",
        "prix € kg", "precio € kg", "chf kg", "gbp kg", "£ kg", "euro kg",
    ),
    "density": (
        "density", "specific gravity", "sg", "dichte", "densite", "masse volumique", "densidad",
        "density g ml", "density g cm3", "dichte g ml", "dichte g cm3", "density 20 c",
    ),
    "refractive_index": (
        "refractive index", "ri", "nd", "n d", "brechungsindex", "brechzahl",
        "indice de refraction", "indice de refraccion",
    ),
    "natural_origin_index": (
        "natural origin index", "natural origin", "noi", "iso 16128", "naturlicher ursprung",
        "origine naturelle", "origen natural",
    ),
    "oil_absorption": (
        "oil absorption", "olzahl", "olabsorption", "prise d huile", "absorcion de aceite",
    ),
    "lot": (
        "lot", "lot no", "lot nr", "lot number", "batch", "batch no", "batch number", "charge",
        "chargen nr", "charge nr", "chargennummer", "n de lot", "no de lot", "numero de lot",
        "lote",
        "n de lote", "no de lote", "numero de lote", "los",
    ),
    "expires": (
        "expiry", "expiry date", "expires", "expires on", "expiration", "expiration date", "exp",
        "exp date", "best before", "use by", "retest", "retest date", "mhd", "haltbar bis",
        "verfall", "verfallsdatum", "haltbarkeit", "ablaufdatum", "ddm", "dlc", "dluo",
        "peremption", "date de peremption", "date d expiration", "caducidad", "vencimiento",
        "fecha de caducidad", "fecha de vencimiento",
    ),
    "received": (
        "received", "received on", "receipt", "date received", "receipt date", "delivery date",
        "eingang", "wareneingang", "eingangsdatum", "erhalten am", "recu", "recu le",
        "date de reception", "recibido", "fecha de recepcion", "fecha de entrada",
    ),
    "note": (
        "note", "notes", "remark", "remarks", "comment", "comments", "bemerkung", "bemerkungen",
        "kommentar", "hinweis", "anmerkung", "remarque", "remarques", "commentaire",
        "commentaires", "observacion", "observaciones", "comentario", "comentarios", "nota",
        "notas",
    ),
}  # fmt: skip
"""Header words by the role of their column."""

TITLE_KEYS: dict[str, tuple[str, ...]] = {
    "code": (
        "code", "formula code", "formula no", "formula number", "formula nr", "formula id",
        "formula", "formulation", "formulation no", "lab no", "trial no", "rezeptur",
        "rezeptur nr", "rezepturnummer", "rezept nr", "formel nr", "labornummer", "labor nr",
        "versuch nr", "formule", "code formule", "n de formule", "no formule", "formule no",
        "reference", "formula n", "codigo", "codigo de formula", "n de formula", "referencia",
    ),
    "name": (
        "name", "product", "product name", "formula name", "title", "produkt", "produktname",
        "bezeichnung", "titel", "produit", "nom", "nom du produit", "designation", "producto",
        "nombre", "nombre del producto", "titulo",
    ),
    "emulsion": (
        "emulsion", "emulsion type", "type", "type of emulsion", "emulsionstyp", "typ",
        "type d emulsion", "tipo", "tipo de emulsion",
    ),
    "batch": (
        "batch size", "batch", "batch weight", "batch g", "batch kg", "ansatz", "ansatzgrosse",
        "chargengrosse", "taille du lot", "taille de lot", "tamano de lote", "tamano del lote",
        "lot size",
    ),
    "ph": ("ph", "ph value", "ph wert", "target ph"),
}  # fmt: skip
"""Words before a value above a table, by what the value is."""

EMULSION_WORDS: tuple[tuple[str, str], ...] = (
    (r"w ?/ ?o|w-o|water ?-?in ?-?oil|wasser ?-?in ?-?ol|e ?/ ?h|eau dans huile|agua en aceite",
     "water-in-oil"),
    (r"o ?/ ?w|o-w|oil ?-?in ?-?water|ol ?-?in ?-?wasser|h ?/ ?e|huile dans eau|aceite en agua",
     "oil-in-water"),
    (r"anhydrous|water ?-?free|wasserfrei|anhydre|anhidr[oa]", "anhydrous"),
)  # fmt: skip
"""Patterns of emulsion types in lower case without accents."""
