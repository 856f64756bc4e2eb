"""Geometry of cameras on a plan: what each can see from where, aimed in which way.

Pure geometry on plain floats, in metres and degrees. `scene` holds what is drawn on the plan,
`prepare` cuts zones into cells and lists the useful ways to aim each lens, `shares` works out
afterwards what chosen cameras see, `hiding` names the walls behind which a zone lies.
"""
