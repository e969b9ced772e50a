"""The page, as ``streamlit run app.py`` starts it."""

from preview.page.app import main

main()
