from xlsxwriter import Worksheet as Worksheet
