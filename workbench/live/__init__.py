"""The live view: a shader's tables and uniforms, its module for pages, and the same in numpy.

`tables` makes what the page is given, `module` the page's own code, and `reference` does in
numpy what the shader does, so that tests can hold both against Little CMS.
"""
