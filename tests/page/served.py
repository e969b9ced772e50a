"""The page as the tests in a browser see it served: what one visitor's has worked out serves the next."""

import streamlit as st

import preview
from preview.page.app import main
from preview.pattern import clean_sketch

clean_sketch.LONGER_SIDE = 1000
st.session_state.setdefault("cache", st.cache_resource(preview.Cache)(limit=1_000_000_000))
main()
