"""Every command once, on small scenes: does glint work with these very versions of everything?"""
